/** A house with one pot, for tests: words and readings in, events out. */
import { advance, drive } from '../../../daemon/watch/drive.ts';
import type { Heat } from '../../../daemon/watch/heat.ts';
import type { Hold } from '../../../daemon/watch/hold.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import type { EventKind, Happening, HappeningOf } from '../../../shared/contract/event.ts';
import { type Input, readingFlags } from '../../../shared/contract/input.ts';
import type { Word } from '../../../shared/contract/word.ts';

export const minute = 60_000;
export const startMs = Date.parse('2026-04-18T06:00:00Z');

export type PotHouse = {
  readonly events: Happening[];
  readonly watching: Watching;
  say(word: Word, atMs?: number): void;
  /** Reads the pot (or the probe named) `atS` after the start. */
  read(atS: number, tempC: number, of?: { probe?: string; receivedS?: number; byReceipt?: boolean }): void;
  /** Reads the pot each `everyS` in a span of seconds. */
  hold(fromS: number, toS: number, tempC: number, everyS?: number): void;
  feed(input: DistributiveOmit<Input, 'inputSeq'>): void;
  advance(atS: number): void;
  kinds(): EventKind[];
  last<K extends EventKind>(kind: K): HappeningOf<K> | undefined;
  heat(): Heat | null;
  holding(): Hold | null;
  /** Goes on from a snapshot, as after a crash. */
  crash(): void;
};

type DistributiveOmit<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;

/** Opens a house whose pot has a probe off by `uncertaintyC` at the most; `guarded` is the house's own rule. */
export function openPotHouse(
  o: { uncertaintyC?: number; guarded?: boolean; heightM?: number; volumeL?: number | null } = {},
): PotHouse {
  const rules: WatchRules = {
    chill: { limitC: 40 / 9, spanMs: 60 * minute, guarded: o.guarded ?? true },
    places: { stove: { kind: 'pot', aroundC: null } },
    probes: {
      pot: {
        place: 'stove',
        volumeL: o.volumeL ?? null,
        material: null,
        uncertaintyC: o.uncertaintyC ?? 0,
        measures: null,
      },
      air: { place: null, volumeL: null, material: null, uncertaintyC: 0.5, measures: 'stove' },
    },
    heightM: o.heightM ?? 0,
    startsByItself: true,
  };
  let watching = openWatching();
  const events: Happening[] = [];
  let inputSeq = 0;
  const feed: PotHouse['feed'] = (input) => {
    inputSeq += 1;
    events.push(...drive(watching, { ...input, inputSeq } as Input, rules));
  };
  const house: PotHouse = {
    events,
    get watching() {
      return watching;
    },
    feed,
    say: (word, atMs = startMs) =>
      feed({ receivedMs: atMs, kind: 'word', wordId: `word-${inputSeq}`, by: 'house', word }),
    read: (atS, tempC, of = {}) => {
      const { probe = 'pot', receivedS = atS, byReceipt = false } = of;
      const reading = {
        probe,
        atMs: startMs + atS * 1000,
        tempC,
        flags: byReceipt ? readingFlags.receipt : 0,
      };
      feed({ receivedMs: startMs + receivedS * 1000, kind: 'reading', reading });
    },
    hold: (fromS, toS, tempC, everyS = 5) => {
      for (let atS = fromS; atS <= toS; atS += everyS) house.read(atS, tempC);
    },
    advance: (atS) => {
      events.push(...advance(watching, startMs + atS * 1000, rules));
    },
    kinds: () => events.map(({ kind }) => kind),
    last: (kind) => events.findLast((event) => event.kind === kind) as never,
    heat: () => watching.lanes.get('pot')?.heat ?? null,
    holding: () => watching.lanes.get('pot')?.hold ?? null,
    crash: () => {
      watching = openWatching(JSON.parse(JSON.stringify([...watching.lanes.values()])));
    },
  };
  return house;
}
