/** Milk on a probe from its very first reading: warm then, and falling since as slowly and evenly as only milk does. */
import type { FoundMilk, MilkStart } from './milk-start.ts';

/** Fresh milk as it comes to the jar: udder-warm at most, strained and carried at least. */
const milkSpanC = { leastC: 27.3, mostC: 39.7 } as const;
/** It is told within this time or not at all. */
const withinMs = 40 * 60_000;
const ageLeastMs = 210_000;
const fallLeastC = 0.6;
/** Milk falls this much a minute at most (0.2 L in stirred ice), and at least where it is worth a watch; a warm room is slower. */
const fallPerMin = { least: 0.03, most: 9 } as const;
/** What a bent line may leave unexplained: noise and coarse steps, and a little of the fall. */
const missMostC = 0.1;
const missOfFall = 0.02;

/** Returns the milk that a probe was in from its first reading on; null while, or where, that is not told. */
export function judgeFirst(state: MilkStart): FoundMilk | null {
  const { first, recent } = state;
  if (first === null) return null;
  const nowC = recent.tempC.at(-1) ?? 0;
  const ageMs = (recent.atMs.at(-1) ?? 0) - first.atMs;
  const isMilk = first.tempC >= milkSpanC.leastC && first.tempC <= milkSpanC.mostC;
  if (ageMs > withinMs || nowC > first.tempC + 1 || !isMilk) {
    state.first = null;
    return null;
  }
  const fallC = first.tempC - nowC;
  const perMin = (fallC * 60_000) / ageMs;
  if (ageMs < ageLeastMs || fallC < fallLeastC) return null;
  if (perMin < fallPerMin.least || perMin > fallPerMin.most) return null;
  const rough = roughC(recent.tempC);
  if (missOfBentLine(recent.atMs, recent.tempC) > missMostC + rough + missOfFall * fallC) return null;
  return { sinceMs: first.atMs, by: 'first-reading' };
}

/** The noise of the readings, by their second differences. */
function roughC(tempC: number[]): number {
  let square = 0;
  for (let index = 2; index < tempC.length; index += 1) {
    square += ((tempC[index] ?? 0) - 2 * (tempC[index - 1] ?? 0) + (tempC[index - 2] ?? 0)) ** 2;
  }
  return Math.sqrt(square / Math.max(1, tempC.length - 2) / 6);
}

/** Root mean square of what a parabola by least squares leaves, over orthogonal polynomials of the instants. */
function missOfBentLine(atMs: number[], tempC: number[]): number {
  const count = atMs.length;
  const meanMs = atMs.reduce((sum, at) => sum + at, 0) / count;
  const line = atMs.map((at) => (at - meanMs) / 60_000);
  const spread = dot(line, line) || 1;
  const meanSquare = spread / count;
  const skew = line.reduce((sum, x) => sum + x ** 3, 0) / spread;
  const bend = line.map((x) => x * x - meanSquare - skew * x);
  const meanC = tempC.reduce((sum, y) => sum + y, 0) / count;
  const off = tempC.map((y) => y - meanC);
  const left = dot(off, off) - dot(off, line) ** 2 / spread - dot(off, bend) ** 2 / (dot(bend, bend) || 1);
  return Math.sqrt(Math.max(0, left) / count);
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, x, index) => sum + x * (b[index] ?? 0), 0);
}
