/** The hold forecast: whether what is in the pot stays in its window, and when it leaves or is cool. */
import type { InstantQuantiles, PathPoint, TempQuantiles } from '../../shared/contract/forecast.ts';
import { quantile } from './crossing.ts';
import { type HeatBank, upToNow } from './heat-bank.ts';
import { drawHeat, type HeatDraw, lawOf } from './heat-draws.ts';
import { type HeatLaw, heatOn } from './heat-law.ts';

/** What is asked of a hold, °C: from `lowC` (null once it is over) to `highC`, for `leftMs` from now on. */
export type HoldQuestion = {
  lowC: number;
  highC: number | null;
  marginC: number;
  /** How much of the hold is still to go. */
  leftMs: number;
  /** True while it holds: then it can leave; else it is awaited. */
  isHolding: boolean;
  /** How far down it is followed; null where it is not. */
  coolToC: number | null;
  seed: string;
};

/** Where a hold is going, as seen from its readings up to `dataToMs`. */
export type HoldOutlook = {
  dataToMs: number;
  /** That it stays in its window beyond the margin for what is left. */
  chance: number;
  /** When it is in its window, for one that is awaited; now for one that holds. */
  enters: InstantQuantiles;
  /** When it leaves by either side; null is not in what is left. */
  leaves: InstantQuantiles;
  side: 'under' | 'over' | null;
  /** When it has cooled to what was asked; null is never within 12 h. */
  cools: InstantQuantiles;
  path: PathPoint[];
  nowC: number;
  rateCPerMin: number;
  roomC: number;
};

const foreseeableMin = 12 * 60;
const pathPoints = 40;

type Run = { enterMin: number; underMin: number; overMin: number; coolMin: number; tempsC: number[] };

/** Answers the question from what was fed; null before the second bin. */
export function forecastHold(bank: HeatBank, question: HoldQuestion): HoldOutlook | null {
  const now = upToNow(bank);
  if (now.atMs === null || now.filters.length === 0) return null;
  const { atMs } = now;
  const law = lawOf(now);
  const draws = drawHeat(now, question.seed);
  const leftMin = question.leftMs / 60_000;
  const endMin = spanOf(question, leftMin);
  const minutes = Array.from({ length: pathPoints + 1 }, (_, step) => endMin * (step / pathPoints) ** 1.3);
  const runs = draws.map((draw) => runOf(law, draw, question, minutes));
  const leaves = runs.map(({ underMin, overMin }) => Math.min(underMin, overMin));
  const stays = leaves.filter((min) => min > leftMin).length / runs.length;
  const under = runs.filter(({ underMin, overMin }) => underMin < overMin).length;
  const instants = (values: readonly number[], mostMin: number) => instantsOf(values, atMs, mostMin);
  const rate = draws.reduce((sum, draw) => sum + gainOf(law, draw), 0) / draws.length;
  const enters = instants(
    runs.map(({ enterMin }) => enterMin),
    foreseeableMin,
  );
  return {
    dataToMs: Math.round(bank.open?.lastMs ?? atMs),
    chance: question.isHolding ? stays : runs.filter(({ enterMin }) => enterMin < 180).length / runs.length,
    enters,
    leaves: question.isHolding ? instants(leaves, leftMin) : { p10: null, p50: null, p90: null },
    side: leaves.some((min) => min <= leftMin) ? (under * 2 >= runs.length ? 'under' : 'over') : null,
    cools: instants(
      runs.map(({ coolMin }) => coolMin),
      foreseeableMin,
    ),
    path: pathOf(runs, minutes, atMs),
    nowC: draws.reduce((sum, { tempC }) => sum + tempC, 0) / draws.length,
    rateCPerMin: rate,
    roomC: now.roomC,
  };
}

function spanOf(question: HoldQuestion, leftMin: number): number {
  if (question.coolToC !== null) return 180;
  return Math.min(foreseeableMin, Math.max(10, leftMin * 1.2));
}

function gainOf(law: HeatLaw, draw: HeatDraw): number {
  const at = { tempC: draw.tempC, flow: draw.flow };
  heatOn(law, draw, at, 0.5);
  return (at.tempC - draw.tempC) / 0.5;
}

function runOf(law: HeatLaw, draw: HeatDraw, question: HoldQuestion, minutes: readonly number[]): Run {
  const { lowC, highC, marginC, coolToC, isHolding } = question;
  const at = { tempC: draw.tempC, flow: draw.flow };
  const run: Run = {
    enterMin: at.tempC >= lowC ? 0 : Infinity,
    underMin: Infinity,
    overMin: Infinity,
    coolMin: Infinity,
    tempsC: [at.tempC],
  };
  let nowMin = 0;
  for (const untilMin of minutes.slice(1)) {
    while (nowMin < untilMin) {
      const step = Math.min(0.1 + nowMin * 0.06, 2, untilMin - nowMin + 1e-9);
      heatOn(law, draw, at, step);
      nowMin += step;
      if (run.enterMin === Infinity && at.tempC >= lowC) run.enterMin = nowMin;
      if (isHolding && run.underMin === Infinity && at.tempC < lowC + marginC) run.underMin = nowMin;
      if (isHolding && highC !== null && run.overMin === Infinity && at.tempC > highC - marginC)
        run.overMin = nowMin;
      if (coolToC !== null && run.coolMin === Infinity && at.tempC <= coolToC) run.coolMin = nowMin;
    }
    run.tempsC.push(at.tempC);
  }
  return run;
}

function instantsOf(values: readonly number[], atMs: number, mostMin: number): InstantQuantiles {
  const sorted = values.map((min) => (min <= mostMin ? min : 1e9)).sort((a, b) => a - b);
  const at = (share: number) => {
    const min = quantile(sorted, share);
    return min > mostMin ? null : Math.round(atMs + min * 60_000);
  };
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function pathOf(runs: readonly Run[], minutes: readonly number[], atMs: number): PathPoint[] {
  return minutes.map((min, place) => {
    const sorted = runs.map(({ tempsC }) => tempsC[place] as number).sort((a, b) => a - b);
    const { p10, p50, p90 }: TempQuantiles = {
      p10: quantile(sorted, 0.1),
      p50: quantile(sorted, 0.5),
      p90: quantile(sorted, 0.9),
    };
    return { atMs: Math.round(atMs + min * 60_000), p10C: p10, p50C: p50, p90C: p90 };
  });
}
