/** What is usual for a place: its cycle, told from the rises and falls of its floor. */
import type { KeepTrace } from './keep-trace.ts';

export type Usual = {
  /** The middle and nearly the highest of its rises' ends, °C. */
  hiC: number;
  hiMostC: number;
  loC: number;
  /** The middle and nearly the longest of its rises, and the middle of its falls, minutes. */
  riseMin: number;
  riseMostMin: number;
  fallMin: number;
  /** How fast it warms at the end of its rises, °C a minute. */
  pacePerMin: number;
  /** Where the air is once it has sprung back after the cooling, °C. */
  restC: number;
  /** A rise of the air within three minutes beyond which a door must be open. */
  doorJumpC: number;
  /** The same where the cooling may just have ended, when the air springs back by itself. */
  springJumpC: number;
};

/** Rises needed before a cycle is called usual. */
const ordinaryMin = 4;
/** A rise within three minutes that is never called a door, °C; while nothing is usual yet it is the second. */
const doorLeastC = 0.6;
export const doorUnknownC = 1.2;

/** Returns what is usual; null until enough of the cycle was seen. */
export function usualOf(trace: KeepTrace): Usual | null {
  // What is small against the others is no cycle.
  const rises = trace.rises.filter(({ fromC, toC }) => toC - fromC >= 0.5 * trace.swingC);
  if (rises.length < ordinaryMin || trace.fallsMin.length < ordinaryMin) return null;
  const of = (pick: (rise: (typeof rises)[0]) => number, share: number) =>
    at(
      rises.map(pick).sort((a, b) => a - b),
      share,
    );
  const pacePerMin = Math.max(
    0.003,
    of((rise) => rise.pacePerMin, 0.5),
  );
  const doorJumpC = Math.max(doorLeastC, 7 * trace.noiseC, 9 * pacePerMin);
  const springC = of((rise) => rise.springC, 0.5);
  const hiC = of(({ toC }) => toC, 0.4);
  const loC = of(({ fromC }) => fromC, 0.5);
  return {
    hiC,
    // Loads and doors lift some tops; where they lift many, they still are no measure of the cooling.
    hiMostC: Math.min(
      of(({ toC }) => toC, 0.8),
      hiC + 0.3 + 0.25 * (hiC - loC),
    ),
    loC,
    riseMin: of(({ spanMin }) => spanMin, 0.5),
    riseMostMin: of(({ spanMin }) => spanMin, 0.8),
    fallMin: at(
      [...trace.fallsMin].sort((a, b) => a - b),
      0.5,
    ),
    pacePerMin,
    restC: of(({ restC }) => restC, 0.5),
    doorJumpC,
    springJumpC: Math.max(doorJumpC, 1.3 * springC),
  };
}

/** The mean of the days before today, or of all hours where there is no such day. */
export function usualMeanC(trace: KeepTrace): number {
  const days = trace.days.slice(0, -1).slice(-3);
  const from = days.length > 0 ? days.map(([, meanC]) => meanC) : trace.hours.map(([, meanC]) => meanC);
  return from.reduce((sum, meanC) => sum + meanC, 0) / Math.max(1, from.length);
}

function at(sorted: readonly number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] as number;
}
