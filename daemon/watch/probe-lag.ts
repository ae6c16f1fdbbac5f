/** How fast a probe follows its milk: learned from the first minutes of each jar. */
import type { Recent } from './recent.ts';

/** Lags tried, s to 63 %: from bare wires to thick sheaths. */
const lagsS = Array.from({ length: 22 }, (_, place) => 2.5 * 1.18 ** place);
/** When the milk may have been put in the cold, s after the probe came in. */
const benchesS = [0, 25, 50, 80, 120, 165];
/** The minutes that are fitted, and from when to when the steepest step is looked for. */
const fittedMs = 210_000;
const beginsMs = { before: 25_000, after: 40_000 } as const;
/** A smaller jump tells little of the lag. */
const jumpLeastC = 4;
/** What a good fit may leave: noise and coarse steps, and a little of the jump. */
const missMostC = 0.12;
const missOfJump = 0.03;
const pointsLeast = 6;

/**
 * Returns the probe's lag in s as its coming into milk at `sinceMs` shows it, or null where the jump is small
 * or no lag explains it. Least squares of level, jump and a fall that begins at a bench's end, over a grid.
 */
export function lagInMilk(recent: Recent, sinceMs: number): number | null {
  const from = steepest(recent, sinceMs);
  if (from === null) return null;
  const { atMs, tempC } = recent;
  const fromMs = atMs[from] as number;
  const last = atMs.findLastIndex((at) => at <= fromMs + fittedMs);
  if (last - from + 1 < pointsLeast) return null;
  const at = atMs.slice(from, last + 1).map((ms) => (ms - fromMs) / 1000);
  const read = tempC.slice(from, last + 1);
  let best = { lagS: 0, jumpC: 0, missC: Number.POSITIVE_INFINITY };
  for (const lagS of lagsS) {
    const left = at.map((s) => Math.exp(-s / lagS));
    for (const benchS of benchesS) {
      const cold = at.map((s) => Math.max(0, s - benchS) / 100);
      const fit = fitThree(left, cold, read);
      if (fit.missC < best.missC) best = { lagS, ...fit };
    }
  }
  const jumpC = Math.abs(best.jumpC);
  if (jumpC < jumpLeastC || best.missC > missMostC + missOfJump * jumpC) return null;
  return Math.round(best.lagS * 10) / 10;
}

/** The bin at which the steepest step near the beginning starts. */
function steepest({ atMs, tempC }: Recent, sinceMs: number): number | null {
  let found: number | null = null;
  let most = 0;
  for (let index = 0; index + 1 < atMs.length; index += 1) {
    const ms = atMs[index] as number;
    if (ms < sinceMs - beginsMs.before || ms > sinceMs + beginsMs.after) continue;
    const slope =
      Math.abs((tempC[index + 1] as number) - (tempC[index] as number)) / ((atMs[index + 1] as number) - ms);
    if (slope <= most) continue;
    most = slope;
    found = index;
  }
  return found;
}

/** Least squares of `read` by one, `left` and `cold`; the fall is not allowed to be a rise. */
function fitThree(
  left: readonly number[],
  cold: readonly number[],
  read: readonly number[],
): { jumpC: number; missC: number } {
  const count = read.length;
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / count;
  const meanLeft = mean(left);
  const meanCold = mean(cold);
  const meanRead = mean(read);
  let ll = 0;
  let lc = 0;
  let cc = 0;
  let lr = 0;
  let cr = 0;
  let rr = 0;
  for (let index = 0; index < count; index += 1) {
    const l = (left[index] as number) - meanLeft;
    const c = (cold[index] as number) - meanCold;
    const r = (read[index] as number) - meanRead;
    ll += l * l;
    lc += l * c;
    cc += c * c;
    lr += l * r;
    cr += c * r;
    rr += r * r;
  }
  const spread = ll * cc - lc * lc;
  const fall = spread > 1e-9 * ll * cc ? (ll * cr - lc * lr) / spread : 0;
  const kept = Math.min(0, fall);
  const jumpC = ll > 0 ? (lr - lc * kept) / ll : 0;
  const missed =
    rr - 2 * (jumpC * lr + kept * cr) + jumpC * jumpC * ll + 2 * jumpC * kept * lc + kept * kept * cc;
  return { jumpC, missC: Math.sqrt(Math.max(0, missed) / count) };
}
