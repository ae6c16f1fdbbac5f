/**
 * The start of a chill, felt from one probe: the instant at which it came into fresh milk. Found by the jump
 * and by what follows it (milk-signs.ts, milk-judge.ts), not by a temperature alone.
 */
import { judgeFirst } from './milk-first.ts';
import { judgeSigns } from './milk-judge.ts';
import { milkSigns, signCount } from './milk-signs.ts';
import { lagInMilk } from './probe-lag.ts';
import { feelRest, openRest, type ProbeRest } from './probe-rest.ts';
import { addReading, openRecent, type Recent } from './recent.ts';

/** What is remembered of one probe, in milk and out of it. JSON-safe, under 3 KB. */
export type MilkStart = {
  recent: Recent;
  rest: ProbeRest;
  /** The probe's very first reading; null before it, and once it can tell nothing more. */
  first: { atMs: number; tempC: number } | null;
  /** When the last minutes were last judged, and the log-odds then. */
  judgedMs: number;
  odds: number;
  /** When the milk found last was come into. */
  sinceMs: number;
  /** The probe's lag in milk, s, as learned from earlier insertions; null before. */
  lagS: number | null;
  /** What the last insertions have shown of it, oldest first. */
  lagsS: number[];
  /** True while the last one has still to show it. */
  lagDue: boolean;
};

export type FoundMilk = { sinceMs: number; by: 'insertion' | 'first-reading' };

const judgeEveryMs = 10_000;
/** How sure two judgments in a row must be, by the age of the milk's beginning: what may wait for more is waited for. */
const sureEnough = [
  { ageS: 60, odds: 7 },
  { ageS: 100, odds: 5.5 },
  { ageS: 140, odds: 4 },
  { ageS: 190, odds: 2.7 },
  { ageS: 230, odds: 1.6 },
] as const;
/** Milk found is the same milk until this later; by then the minutes remembered have forgotten its beginning. */
const sameMilkMs = 430_000;
/** Within that span, a jump this young is another jar's. */
const nextJarAgeS = 180;
const nextJarMs = 90_000;
/** What is looked at for a quick no: how far back, how warm it was, how much it moved. */
const quickSpanMs = 330_000;
const quickWarmC = 24;
const quickMovesC = 0.6;

/** When milk has shown a probe's lag, and how many are remembered. */
const lagAfterMs = 190_000;
const lagsMost = 7;

const signs = new Float64Array(signCount);

/** Returns the feeling for a start on a probe of which nothing is known, or only what `before` had learned. */
export function openMilkStart(before?: MilkStart): MilkStart {
  return {
    recent: openRecent(),
    rest: openRest(before?.rest),
    first: null,
    judgedMs: 0,
    odds: 0,
    sinceMs: 0,
    lagS: before?.lagS ?? null,
    lagsS: before?.lagsS ?? [],
    lagDue: false,
  };
}

/**
 * Takes over `state` and feels one reading. `found.sinceMs` is when the milk came on the probe, told 1–5 min
 * after. Cheap (under 1 µs) but once in 10 s on a probe that was warm and moved: then some 10 µs.
 */
export function feelStart(
  state: MilkStart,
  reading: { atMs: number; tempC: number },
): { state: MilkStart; found: FoundMilk | null } {
  const { recent } = state;
  if (recent.openBin < 0) state.first = { atMs: reading.atMs, tempC: reading.tempC };
  if (!addReading(recent, reading)) return { state, found: null };
  state.rest = feelRest(state.rest, recent);
  const newestMs = recent.atMs.at(-1) ?? 0;
  if (newestMs - state.judgedMs < judgeEveryMs) return { state, found: null };
  state.judgedMs = newestMs;
  learnLag(state);
  const found = judgeInsertion(state) ?? judgeFirst(state);
  if (found !== null) {
    state.sinceMs = found.sinceMs;
    state.first = null;
  }
  return { state, found };
}

function judgeInsertion(state: MilkStart): FoundMilk | null {
  const { recent, rest, lagS } = state;
  const before = state.odds;
  state.odds = 0;
  if (!couldHoldMilk(recent)) return null;
  milkSigns(recent, { lagS, restC: rest.restC }, signs);
  const judgment = judgeSigns(signs);
  state.odds = judgment.odds;
  if (Math.min(before, judgment.odds) < oddsLeast(judgment.ageS)) return null;
  const newestMs = recent.atMs.at(-1) ?? 0;
  const sinceMs = Math.round(newestMs - judgment.ageS * 1000);
  const isSame =
    newestMs - state.sinceMs < sameMilkMs &&
    (judgment.ageS > nextJarAgeS || sinceMs - state.sinceMs < nextJarMs);
  if (isSame) return null;
  state.lagDue = true;
  return { sinceMs, by: 'insertion' };
}

function oddsLeast(ageS: number): number {
  return sureEnough.findLast((step) => step.ageS <= ageS)?.odds ?? Number.POSITIVE_INFINITY;
}

/** Takes in the lag that the milk found last has shown by now; the probe's is the median of the last ones. */
function learnLag(state: MilkStart): void {
  const newestMs = state.recent.atMs.at(-1) ?? 0;
  if (!state.lagDue || newestMs - state.sinceMs < lagAfterMs) return;
  state.lagDue = false;
  const shownS = lagInMilk(state.recent, state.sinceMs);
  if (shownS === null) return;
  state.lagsS.push(shownS);
  if (state.lagsS.length > lagsMost) state.lagsS.shift();
  const sorted = [...state.lagsS].sort((one, other) => one - other);
  state.lagS = sorted[sorted.length >> 1] ?? null;
}

/** A quick look: has the probe been warm, and has it moved at all, within the span that is judged? */
export function couldHoldMilk(recent: Recent): boolean {
  const fromMs = (recent.atMs.at(-1) ?? 0) - quickSpanMs;
  let lowC = Number.POSITIVE_INFINITY;
  let highC = Number.NEGATIVE_INFINITY;
  for (let index = recent.atMs.length - 1; index >= 0 && (recent.atMs[index] ?? 0) >= fromMs; index -= 1) {
    const tempC = recent.tempC[index] ?? 0;
    lowC = Math.min(lowC, tempC);
    highC = Math.max(highC, tempC);
  }
  return highC >= quickWarmC && highC - lowC >= quickMovesC;
}
