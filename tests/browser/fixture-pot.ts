/** A copper pot of the stand-in house, watched by the daemon's own watching: climbing, short without a lid, holding. */
import { drive } from '../../daemon/watch/drive.ts';
import type { WatchRules } from '../../daemon/watch/rules.ts';
import { openWatching } from '../../daemon/watch/step.ts';
import { watchViewsOf } from '../../daemon/watch/view.ts';
import type { AnyWatchView } from '../../shared/contract/api.ts';
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { morningMs } from './fixture-morning.ts';

export type PotCase = 'climbing' | 'heat-off' | 'short' | 'holding' | 'begun-again';

const minuteMs = 60_000;
const ofF = (tempF: number) => ((tempF - 32) * 5) / 9;
const everyMs = 5_000;

/** Minutes of each case before the morning, and its milk at a minute. */
const cases: Record<PotCase, { minutes: number; word: Word; milkC: (min: number) => number }> = {
  climbing: {
    minutes: 22,
    word: { kind: 'heat-begin', probe: 'pot', limitC: ofF(190), volumeL: 8 },
    milkC: (min) => 12 + Math.max(0, min - 1.2) * 2.4,
  },
  'heat-off': {
    minutes: 32,
    word: { kind: 'heat-begin', probe: 'pot', limitC: ofF(190), volumeL: 8 },
    milkC: (min) => 12 + Math.max(0, min - 1.2) * 2.4,
  },
  short: {
    minutes: 40,
    word: { kind: 'heat-begin', probe: 'pot', limitC: ofF(190), volumeL: 8 },
    milkC: (min) => 70 - 55 * Math.exp(-min / 16),
  },
  holding: {
    minutes: 19,
    word: { kind: 'hold-begin', probe: 'pot', hold: { holdMs: 1, pair: 'us-145f-30min' } },
    milkC: (min) => (min < 2 ? 61 + min * 1.6 : 64.9 - 0.03 * (min - 2)),
  },
  'begun-again': {
    minutes: 19,
    word: { kind: 'hold-begin', probe: 'pot', hold: { limitC: ofF(145), holdMs: 30 * minuteMs } },
    milkC: (min) => 64 - 0.075 * min,
  },
};

function tempAt(which: PotCase, atMs: number): number {
  const { milkC, minutes } = cases[which];
  const min = (atMs - morningMs) / minuteMs + minutes;
  const streaks = 0.04 * Math.sin(atMs / 4_100) + 0.03 * Math.sin(atMs / 1_730);
  return Math.round((milkC(min) + streaks) * 16) / 16;
}

/** What the pot shows now, °C. */
export function potNowC(which: PotCase): number {
  return tempAt(which, morningMs);
}

/** What the pot showed over a span, one reading each 5 s; null for another probe. */
export function potHistory(
  which: PotCase,
  probe: string,
  span: { fromMs: number; toMs: number },
): { fromMs: number; toMs: number; minC: number; maxC: number; meanC: number; count: number }[] | null {
  if (probe !== 'pot') return null;
  const firstMs = Math.max(span.fromMs, morningMs - cases[which].minutes * minuteMs);
  const buckets = [];
  for (let atMs = firstMs; atMs <= Math.min(span.toMs, morningMs); atMs += everyMs) {
    const tempC = tempAt(which, atMs);
    buckets.push({ fromMs: atMs, toMs: atMs, minC: tempC, maxC: tempC, meanC: tempC, count: 1 });
  }
  return buckets;
}

/** The watches of the pot, as the daemon would have them. */
export function potWatches(which: PotCase): AnyWatchView[] {
  const { minutes, word } = cases[which];
  const rules: WatchRules = {
    chill: { limitC: 40 / 9, spanMs: 60 * minuteMs, guarded: true },
    places: { stove: { kind: 'pot', aroundC: null } },
    probes: {
      pot: { place: 'stove', volumeL: 8, material: 'copper', uncertaintyC: 0.28, measures: null },
    },
    heightM: 1420,
    startsByItself: true,
  };
  const watching = openWatching();
  let inputSeq = 0;
  const feed = (input: object) => drive(watching, { ...input, inputSeq: ++inputSeq } as Input, rules);
  const startMs = morningMs - minutes * minuteMs;
  feed({ receivedMs: startMs, kind: 'word', wordId: 'pot-begin', by: 'house', word });
  for (let atMs = startMs; atMs <= morningMs; atMs += everyMs) {
    const reading = { probe: 'pot', atMs, tempC: tempAt(which, atMs), flags: 0 };
    feed({ receivedMs: atMs, kind: 'reading', reading });
  }
  return [...watching.lanes.values()].flatMap(watchViewsOf);
}
