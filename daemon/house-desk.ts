/** What the house can be asked and told over HTTP, answered from the rooms. Wiring. */
import type {
  DiskView,
  Health,
  HistoryAnswer,
  HouseView,
  LiveValue,
  MirrorView,
  Notice,
  ProbeView,
} from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import type { Input } from '../shared/contract/input.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { House } from './config/house-file.ts';
import { formNotes } from './history/forms/export-form.ts';
import { keptInstantMsMax } from './history/intake-item.ts';
import { exportText } from './history-export.ts';
import { planOfHouse } from './house-plan.ts';
import { noticeOf, probeViewOf } from './house-views.ts';
import type { HistoryAsk, HouseDesk } from './http/desk.ts';
import type { Intake } from './intake/intake.ts';
import { lateStretchesOf } from './late-stretches.ts';
import { openLatestReadings } from './latest-readings.ts';
import type { LiveLoop } from './live-loop.ts';
import type { EraClock } from './open-clock.ts';
import type { Reader } from './reader.ts';
import { openSaying } from './saying.ts';
import type { Troubles } from './troubles.ts';
import { faultOfWord } from './words-rule.ts';
import type { Writer } from './writer.ts';

export type DeskOptions = {
  house: House;
  id: string;
  speech: Speech;
  simulated: boolean;
  release: string;
  startedMs: number;
  writer: Pick<Writer, 'latest' | 'opened'>;
  reader: Reader;
  clock: EraClock;
  loop: LiveLoop;
  intake: Intake;
  troubles: Troubles;
  mirrors: () => MirrorView[];
  disk: () => DiskView;
};

export type Desk = {
  http: Omit<HouseDesk, 'live' | 'notify'>;
  /** Takes committed inputs, for the newest value of each probe. */
  see(inputs: readonly Input[]): void;
  /** Takes events that were kept. */
  heard(events: RecordEvent[]): void;
  onRecorded(tell: (events: readonly RecordEvent[]) => void): void;
  /** Views of what changed since the last call, ended watches among them. */
  changes(): LiveValue[];
};

/** Opens the desk with the newest reading of each probe. */
export async function deskOf(options: DeskOptions): Promise<Desk> {
  const { house, loop, intake, clock, reader, speech } = options;
  const latest = openLatestReadings(await options.writer.latest());
  let recordSeq = options.writer.opened.recordSeq;
  let tell: (events: readonly RecordEvent[]) => void = () => {};
  let shownWatches = new Map(loop.watches().map((view) => [view.id, view]));

  const probe = (id: string): ProbeView =>
    probeViewOf(house, {
      id,
      latest: latest.of(id),
      lane: loop.lane(id),
      counts: intake.counts.of(id),
      nowMs: clock.nowMs(),
    });
  const probeIds = () => new Set([...house.probes.map(({ id }) => id), ...latest.probes()]);

  return {
    see: latest.see,
    heard: (events) => {
      recordSeq = events.at(-1)?.recordSeq ?? recordSeq;
      tell(events);
    },
    onRecorded: (told) => {
      tell = told;
    },
    changes: () => {
      const changed = loop.changed();
      if (changed.size === 0) return [];
      const watches = new Map(loop.watches().map((view) => [view.id, view]));
      const ended = [...shownWatches.values()].filter(({ id }) => !watches.has(id));
      shownWatches = watches;
      return [
        ...[...changed].map((id): LiveValue => ({ kind: 'probe', value: probe(id) })),
        ...[...watches.values()]
          .filter((view) => changed.has(view.probe))
          .map((value): LiveValue => ({ kind: 'watch', value })),
        ...ended.map((view): LiveValue => ({ kind: 'watch', value: { ...view, state: 'ended' } })),
      ];
    },
    http: {
      house: (): HouseView => ({
        v: 1,
        id: options.id,
        name: house.house.name,
        heightM: house.house.heightM,
        zone: house.house.zone,
        units: house.house.units,
        simulated: options.simulated,
        places: house.places.map(({ id, name, kind }) => ({ id, name, kind })),
        nowMs: clock.nowMs(),
        clockKnown: clock.known(),
        recordSeq,
        mirrors: options.mirrors(),
        disk: options.disk(),
      }),
      probes: () => [...probeIds()].map(probe),
      refusals: () => [...intake.counts.refusals()],
      watches: () => loop.watches(),
      plan: (ask) => planOfHouse(house, loop.prior(), ask),
      history: async (ask: HistoryAsk): Promise<HistoryAnswer> => {
        const { fromMs, toMs, ...answer } = await reader.envelope(ask);
        return { ...answer, edges: { fromMs, toMs } };
      },
      keptSpan: async (probe) => ({
        firstMs: await firstMsOf(reader, probe),
        lastMs: latest.of(probe)?.atMs ?? null,
      }),
      lateStretches: (ask) => lateStretchesOf(reader, ask),
      exportFile: ({ form, probe, ...span }) => ({
        name: `${probe}.${formNotes[form].ending}`,
        mediaType: formNotes[form].mediaType,
        text: exportText(reader, { form, probes: [probe], house: options.id, ...span }),
      }),
      noticesBetween: async (ask) => {
        const events = await reader.noticesBetween(ask);
        return events.flatMap((event) => noticeOf(event, speech) ?? []);
      },
      notices: ({ limit, beforeSeq }) => noticesOf(reader, speech, { limit, beforeSeq: beforeSeq ?? null }),
      events: ({ afterSeq, limit }) => reader.eventsAfter(afterSeq, limit),
      say: openSaying(intake, (word) =>
        faultOfWord(word, {
          house,
          isHeard: (id) => latest.of(id) !== null,
          isOpenWatch: (watch) => loop.watches().some(({ id }) => id === watch),
          nowMs: clock.nowMs,
        }),
      ),
      health: (): Health => ({
        v: 1,
        ok: !options.troubles.any,
        release: options.release,
        sinceMs: options.startedMs,
        clockKnown: clock.known(),
        inputSeq: loop.inputSeq,
        pending: intake.pending,
        sources: [...intake.sources()].map(([id, { state, why }]) => ({ id, state, why })),
        faults: options.troubles.list(),
      }),
    },
  };
}

/** When the first reading of a probe was; null where there is none. */
async function firstMsOf(reader: Reader, probe: string): Promise<number | null> {
  for await (const slice of reader.rawRange({ probe, fromMs: 0, toMs: keptInstantMsMax + 1 })) {
    return slice[0]?.atMs ?? null;
  }
  return null;
}

/** Newest first; asks the record for more until there are enough or no older ones. */
async function noticesOf(
  reader: Reader,
  speech: Speech,
  { limit, beforeSeq }: { limit: number; beforeSeq: number | null },
): Promise<Notice[]> {
  const events = await reader.noticesLast(limit, beforeSeq);
  return events.flatMap((event) => noticeOf(event, speech) ?? []).reverse();
}
