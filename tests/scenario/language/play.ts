/** Plays a scenario through the watching that runs live and in a replay, and hands back what was said. */
import { advance, drive } from '../../../daemon/watch/drive.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import { type Happening, isNotice } from '../../../shared/contract/event.ts';
import { type Input, readingFlags } from '../../../shared/contract/input.ts';
import type { Word } from '../../../shared/contract/word.ts';
import { eventSentence } from '../../../shared/sentences/event-sentence.ts';
import { drawProbe } from './draw.ts';
import type { Meanwhile, Scenario } from './scenario.ts';

/** What was said, and when by a good clock on the wall, ms since the scenario's first midnight. */
export type Said = { wallMs: number; event: Happening; probe: string | null; text: string | null };

/** The midnight from which a scenario's times count. */
export const midnightMs = Date.UTC(2026, 3, 18);

/** The watching goes on for this long after the last reading. */
const afterMs = 60_000;

type Happens = { atMs: number; order: number; does: (play: Play) => void };
type Play = {
  scenario: Scenario;
  watching: ReturnType<typeof openWatching>;
  inputSeq: number;
  /** How far the house's clock is ahead of the wall's. */
  aheadMs: number;
  /** Nothing is received before this; null while the house runs. */
  awayUntilMs: number | null;
  said: Said[];
};

/** Returns what was said in the order in which it was said. */
export function playScenario(scenario: Scenario): Said[] {
  const play: Play = {
    scenario,
    watching: openWatching(),
    inputSeq: 0,
    aheadMs: 0,
    awayUntilMs: null,
    said: [],
  };
  const happens = [...readings(scenario), ...scenario.meanwhile.map(happening)];
  happens.sort((a, b) => a.atMs - b.atMs || a.order - b.order);
  for (const { does } of happens) does(play);
  const endMs = (happens.at(-1)?.atMs ?? 0) + midnightMs + play.aheadMs + afterMs;
  hear(play, advance(play.watching, endMs, scenario.house.rules));
  return play.said;
}

function readings(scenario: Scenario): Happens[] {
  return scenario.probes
    .flatMap((saw) => drawProbe(saw, scenario.house.seed))
    .map((sent, order) => ({
      atMs: sent.receivedMs,
      order: order + 1000,
      does: (play) => {
        // What was sent to a house that is off is lost; a probe that holds back sends it later.
        if (play.awayUntilMs !== null && sent.receivedMs < play.awayUntilMs) return;
        const receivedMs = sent.receivedMs + midnightMs + play.aheadMs;
        const atMs = sent.byHouse ? receivedMs : sent.wallMs + midnightMs;
        const reading = {
          probe: sent.probe,
          atMs,
          tempC: sent.tempC,
          flags: sent.byHouse ? readingFlags.receipt : 0,
        };
        feed(play, { receivedMs, kind: 'reading', reading });
      },
    }));
}

function happening(meanwhile: Meanwhile, order: number): Happens {
  const { atMs } = meanwhile;
  switch (meanwhile.kind) {
    case 'word':
      return { atMs, order, does: (play) => say(play, atMs, shifted(meanwhile.word, midnightMs)) };
    case 'stop-watching':
      return { atMs, order, does: (play) => stopWatching(play, atMs, meanwhile.probe) };
    case 'clock':
      return {
        atMs,
        order,
        does: (play) => {
          const { deltaMs } = meanwhile;
          play.aheadMs += deltaMs;
          feed(play, { receivedMs: atMs + midnightMs + play.aheadMs, kind: 'clock', deltaMs, known: true });
        },
      };
    case 'away':
      return { atMs, order, does: (play) => leave(play, meanwhile) };
    default:
      return meanwhile satisfies never;
  }
}

function leave(play: Play, { atMs, clean, spanMs }: Extract<Meanwhile, { kind: 'away' }>): void {
  const aliveUntilMs = atMs + midnightMs + play.aheadMs;
  hear(play, advance(play.watching, aliveUntilMs, play.scenario.house.rules));
  play.awayUntilMs = atMs + spanMs;
  // What was kept is read again.
  play.watching = openWatching(JSON.parse(JSON.stringify([...play.watching.lanes.values()])));
  const receivedMs = aliveUntilMs + spanMs;
  feed(play, { receivedMs, kind: 'start', release: '0.0.0', known: true, aliveUntilMs, clean });
}

function stopWatching(play: Play, atMs: number, probe: string): void {
  const lane = play.watching.lanes.get(probe);
  const watch = lane?.chill?.id ?? lane?.keep?.id;
  if (watch === undefined) throw new Error(`no watch of ${probe} is open at ${atMs}`);
  say(play, atMs, { kind: 'watch-end', watch });
}

function say(play: Play, atMs: number, word: Word): void {
  const receivedMs = atMs + midnightMs + play.aheadMs;
  feed(play, { receivedMs, kind: 'word', wordId: `scenario-${play.inputSeq}`, by: 'house', word });
}

function shifted(word: Word, byMs: number): Word {
  if (word.kind === 'milking-ended') return { ...word, atMs: word.atMs + byMs };
  if (word.kind === 'chill-begin' && word.sinceMs !== undefined)
    return { ...word, sinceMs: word.sinceMs + byMs };
  return word;
}

type Fed = Input extends infer I ? (I extends Input ? Omit<I, 'inputSeq'> : never) : never;

function feed(play: Play, input: Fed): void {
  play.inputSeq += 1;
  hear(play, drive(play.watching, { inputSeq: play.inputSeq, ...input } as Input, play.scenario.house.rules));
}

function hear(play: Play, events: readonly Happening[]): void {
  const { units } = play.scenario.house;
  const speech = { language: 'en', units, zone: 'UTC', names: {} } as const;
  for (const event of events) {
    play.said.push({
      wallMs: event.atMs - midnightMs - play.aheadMs,
      event,
      probe: event.about.probe?.[0] ?? null,
      text: isNotice(event) ? eventSentence(event, speech) : null,
    });
  }
}
