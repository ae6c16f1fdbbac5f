/** Rows to learn the judge of starts from: signs of the last minutes, and whether the probe was in fresh milk. */
import { milkSigns, signCount } from '../../../daemon/watch/milk-signs.ts';
import { couldHoldMilk } from '../../../daemon/watch/milk-start.ts';
import { feelRest, openRest } from '../../../daemon/watch/probe-rest.ts';
import { addReading, openRecent, type Recent } from '../../../daemon/watch/recent.ts';
import type { Everyday } from './days.ts';
import { openDice } from './dice.ts';

export type StartLesson = {
  signs: Float32Array;
  /** 1 in fresh milk, 0 elsewhere. */
  truths: Float32Array;
  /** Seconds since the milk was come into, where it was. */
  ages: Float32Array;
  weights: Float32Array;
  count: number;
};

const freshS = 285;
const oldS = 430;
const seenS = 25;

export function gatherLesson(everyday: Everyday, seed: number): StartLesson {
  const dice = openDice(seed);
  const rows: number[] = [];
  const truths: number[] = [];
  const ages: number[] = [];
  const weights: number[] = [];
  const recent: Recent = openRecent();
  let rest = openRest();
  let judgedMs = 0;
  let chill = -1;
  const into = new Float64Array(signCount);
  for (const reading of everyday.readings) {
    if (!addReading(recent, reading)) continue;
    rest = feelRest(rest, recent);
    const nowMs = recent.atMs.at(-1) ?? 0;
    if (nowMs - judgedMs < 10_000) continue;
    judgedMs = nowMs;
    if (!couldHoldMilk(recent)) continue;
    while ((everyday.chills[chill + 1]?.intoMs ?? Infinity) <= nowMs) chill += 1;
    const current = everyday.chills[chill];
    const ageS = current === undefined ? Infinity : (nowMs - current.intoMs) / 1000;
    const isIn = current !== undefined && nowMs < (current.outMs ?? Infinity);
    if (ageS < seenS || (isIn && ageS > freshS && ageS < oldS)) continue;
    const isFresh = isIn && ageS <= freshS;
    // Out again within minutes: neither.
    if (!isIn && ageS < oldS) continue;
    const keeps = isFresh ? 0.6 : Math.abs(range(recent)) < 0.7 ? 0.03 : isIn ? 0.25 : 0.6;
    if (!dice.chance(keeps)) continue;
    // As far off as lags learned from a few jars are.
    const off = dice.normal(0, dice.chance(0.12) ? 0.5 : 0.15);
    const lagS = dice.chance(0.25) ? null : everyday.probe.lagS * Math.exp(off);
    const restC = dice.chance(0.15) ? null : rest.restC;
    milkSigns(recent, { lagS, restC }, into);
    for (const sign of into) rows.push(sign);
    truths.push(isFresh ? 1 : 0);
    ages.push(isFresh ? ageS : 0);
    weights.push(Math.min(4, 0.5 / keeps));
  }
  return {
    signs: Float32Array.from(rows),
    truths: Float32Array.from(truths),
    ages: Float32Array.from(ages),
    weights: Float32Array.from(weights),
    count: truths.length,
  };
}

function range({ tempC }: Recent): number {
  return Math.max(...tempC) - Math.min(...tempC);
}
