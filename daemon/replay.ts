/** `springhouse replay`: runs a logged trace through the very code that runs live. Wiring, as compose.ts is. */
import { type Happening, isNotice } from '../shared/contract/event.ts';
import type { Input } from '../shared/contract/input.ts';
import type { HousePrior } from '../shared/contract/prior.ts';
import { eventSentence } from '../shared/sentences/event-sentence.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { Trace } from './cli/csv-trace.ts';
import type { ReplayOptions } from './cli/replay-options.ts';
import {
  askedForecast,
  type Followed,
  followedOf,
  outcomeOf,
  sinceOf,
  standingForecast,
} from './replay-watch.ts';
import { advance, drive } from './watch/drive.ts';
import type { WatchRules } from './watch/rules.ts';
import { openWatching, type Watching } from './watch/step.ts';

/** One line of output; see DESIGN "replay" for the fields of each type. */
export type ReplayLine = { type: 'start' | 'forecast' | 'notice' | 'outcome'; at: number } & Record<
  string,
  unknown
>;

/** The house's own default where no window is asked for: 40 °F within the hour. */
const houseWindow = { limitC: ((40 - 32) * 5) / 9, spanMs: 3_600_000 };

const speech: Speech = { language: 'en', units: 'C', zone: 'UTC', names: {} };

type Run = {
  watching: Watching;
  rules: WatchRules;
  options: ReplayOptions;
  lines: ReplayLine[];
  /** Watches that have begun, with the `--at` spans still to come. */
  begun: Map<string, { followed: Followed; spansMs: number[] }>;
  receivedMs: number;
  inputSeq: number;
};

/** Replays a trace and returns its lines in order of `at`, then start, forecast, notice, outcome. */
export function replay(trace: Trace, options: ReplayOptions): ReplayLine[] {
  const run: Run = {
    watching: openWatching(),
    rules: rulesOf(trace, options),
    options,
    lines: [],
    begun: new Map(),
    receivedMs: Number.NEGATIVE_INFINITY,
    inputSeq: 0,
  };
  const asked = Map.groupBy(options.watches, ({ probe }) => probe);
  for (const { atMs, tempsC } of trace.rows) {
    run.receivedMs = Math.max(run.receivedMs, atMs);
    const { receivedMs } = run;
    for (const [column, tempC] of tempsC.entries()) {
      if (tempC === null) continue;
      const probe = trace.probes[column] as string;
      const words = asked.get(probe) ?? [];
      asked.delete(probe);
      for (const word of words) {
        feed(run, { inputSeq: ++run.inputSeq, receivedMs, kind: 'word', wordId: probe, by: 'house', word });
      }
      const reading = { probe, atMs, tempC, flags: 0 };
      feed(run, { inputSeq: ++run.inputSeq, receivedMs, kind: 'reading', reading });
    }
  }
  const endMs = run.receivedMs;
  take(run, advance(run.watching, endMs + burstEndMs, run.rules));
  answerAsked(run, Number.POSITIVE_INFINITY);
  for (const { followed } of run.begun.values()) {
    const outcome = outcomeOf(followed, endMs);
    if (outcome !== null) run.lines.push({ type: 'outcome', at: endMs, ...outcome });
  }
  return sortLines(run.lines);
}

/** The last burst of a trace is still forecast; nothing else happens after its end. */
const burstEndMs = 100;

function feed(run: Run, input: Input): void {
  answerAsked(run, input.receivedMs);
  take(run, drive(run.watching, input, run.rules));
}

function take(run: Run, events: readonly Happening[]): void {
  for (const event of events) {
    if (event.kind === 'watch-opened') begin(run, event);
    if (event.kind === 'watch-turned') {
      const begun = run.begun.get(event.body.watch);
      const forecast = begun === undefined ? null : standingForecast(begun.followed);
      if (forecast !== null) run.lines.push({ type: 'forecast', at: event.atMs, why: 'turned', ...forecast });
    }
    // What has ended is asked nothing more.
    if (event.kind === 'watch-ended') run.begun.get(event.body.watch)?.spansMs.splice(0);
    if (isNotice(event)) {
      const { weight, watch } = event.body;
      const text = eventSentence(event, speech);
      run.lines.push({ type: 'notice', watch, at: event.atMs, weight, code: event.kind, text });
    }
  }
}

function begin(run: Run, event: Extract<Happening, { kind: 'watch-opened' }>): void {
  const { watch, probe, sinceMs, marginC } = event.body;
  const followed = followedOf(run.watching.lanes.get(probe), watch);
  if (followed === null) return;
  // What was asked for an instant before the start was noticed has no answer.
  const spansMs = run.options.atSpansMs.filter((spanMs) => sinceMs + spanMs >= event.atMs);
  run.begun.set(watch, { followed, spansMs });
  run.lines.push({ type: 'start', watch, probe, at: event.atMs, since: sinceMs, marginC });
}

/** Answers every asked forecast whose instant is before `beforeMs`, with the readings fed so far. */
function answerAsked(run: Run, beforeMs: number): void {
  for (const { followed, spansMs } of run.begun.values()) {
    while (spansMs.length > 0) {
      const atMs = sinceOf(followed) + (spansMs[0] as number);
      if (atMs >= beforeMs) break;
      spansMs.shift();
      take(run, advance(run.watching, Math.min(atMs, run.receivedMs), run.rules));
      const forecast = askedForecast(followed, atMs);
      if (forecast !== null)
        run.lines.push({ type: 'forecast', at: atMs, why: 'asked', ...forecast, madeAtMs: atMs });
    }
  }
}

const order = { start: 0, forecast: 1, notice: 2, outcome: 3 };

function sortLines(lines: ReplayLine[]): ReplayLine[] {
  return lines.sort((a, b) => a.at - b.at || order[a.type] - order[b.type]);
}

function rulesOf(trace: Trace, options: ReplayOptions): WatchRules {
  const { around, heightM, places: kinds, volumesL, uncertaintyC } = options;
  const measuring = new Set(Object.values(around));
  const probes: Record<string, WatchRules['probes'][string]> = {};
  const places: Record<string, WatchRules['places'][string]> = {};
  for (const probe of trace.probes) {
    // Jars whose surroundings one column measures stand in one place.
    const column = around[probe];
    const kind = kinds[probe] ?? null;
    const place = column !== undefined ? aroundOf(column) : kind !== null ? `place-of-${probe}` : null;
    if (place !== null) places[place] = { kind: kind ?? places[place]?.kind ?? null, aroundC: null };
    probes[probe] = {
      place,
      volumeL: volumesL[probe] ?? null,
      material: null,
      uncertaintyC,
      measures: measuring.has(probe) ? aroundOf(probe) : null,
    };
  }
  const startsByItself = options.watches.length === 0;
  const rules = { chill: { ...houseWindow, guarded: true }, places, probes, heightM, startsByItself };
  return options.prior === undefined
    ? rules
    : { ...rules, prior: priorHere(options.prior, { places, probes }) };
}

/** A trace names kinds of places only: what was learned in a place of the kind holds for each of them. */
function priorHere(prior: HousePrior, { places, probes }: Pick<WatchRules, 'places' | 'probes'>): HousePrior {
  const stood = new Set(Object.values(probes).flatMap(({ place }) => place ?? []));
  return {
    v: 1,
    lessons: prior.lessons.flatMap((lesson) =>
      [...stood]
        .filter((place) => places[place]?.kind === lesson.kind)
        .map((place) => ({ ...lesson, place })),
    ),
  };
}

function aroundOf(column: string): string {
  return `around-${column}`;
}
