/** What is usual for a place: its cycle, told from its own rises and falls. */
import type { KeepTrace } from './keep-trace.ts';

export type Usual = {
  /** The middle and the highest of ordinary rises' ends, °C. */
  hiC: number;
  hiMostC: number;
  loC: number;
  /** Spans of ordinary rises and falls, minutes. */
  riseMin: number;
  riseMostMin: number;
  fallMin: number;
  /** A rise within three minutes beyond which a door must be open. */
  doorJumpC: number;
  /** The mean of the last days, °C. */
  meanC: number;
};

/** Ordinary rises needed before a cycle is called usual. */
const ordinaryMin = 4;
/** A rise within three minutes that is never called a door, °C; while nothing is usual yet it is the second. */
const doorLeastC = 0.6;
const doorUnknownC = 1.2;
/** A rise goes beyond the ordinary by at least this, °C. */
const beyondC = 0.45;

/** Returns the rise within three minutes beyond which a door is open, from the quieter of the rises so far. */
export function doorJumpC(trace: KeepTrace): number {
  const jumps = trace.rises.map(({ jumpC }) => jumpC).sort((a, b) => a - b);
  const least = Math.max(doorLeastC, 7 * trace.noiseC);
  if (jumps.length < ordinaryMin) return Math.max(doorUnknownC, least);
  return Math.max(least, 2 * (jumps[Math.floor(jumps.length * 0.3)] as number));
}

/** Returns what is usual; null until enough of the cycle was seen. */
export function usualOf(trace: KeepTrace): Usual | null {
  const jumpC = doorJumpC(trace);
  const quiet = trace.rises.filter((rise) => rise.jumpC < jumpC);
  if (quiet.length < ordinaryMin || trace.fallsMin.length < ordinaryMin) return null;
  const tops = quiet.map(({ toC }) => toC).sort((a, b) => a - b);
  const hiC = at(tops, 0.4);
  const loC = at(
    quiet.map(({ fromC }) => fromC).sort((a, b) => a - b),
    0.5,
  );
  const most = hiC + Math.max(beyondC, 0.25 * (hiC - loC));
  const ordinary = quiet.filter(({ toC }) => toC <= most);
  const spans = ordinary.map(({ spanMin }) => spanMin).sort((a, b) => a - b);
  if (spans.length < ordinaryMin - 1) return null;
  return {
    hiC,
    hiMostC: Math.max(...ordinary.map(({ toC }) => toC)),
    loC,
    riseMin: at(spans, 0.5),
    riseMostMin: spans.at(-1) as number,
    fallMin: at(
      [...trace.fallsMin].sort((a, b) => a - b),
      0.5,
    ),
    doorJumpC: jumpC,
    meanC: usualMeanC(trace),
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
