/** The last 24 hours of a keep, counted by the hour. */
import type { Keep } from './keep.ts';

const hoursKept = 25;
const hourMs = 3_600_000;

/** The sums of the last 24 hours. */
export function dayOf(keep: Keep): {
  milkMostC: number;
  probeMostC: number;
  milkLeastC: number;
  probeLeastC: number;
  milkOverMs: number;
  probeOverMs: number;
} {
  const day = {
    milkMostC: -273,
    probeMostC: -273,
    milkLeastC: 273,
    probeLeastC: 273,
    milkOverMs: 0,
    probeOverMs: 0,
  };
  for (const [, milkC, probeC, milkMs, probeMs, coldMilkC, coldProbeC] of keep.hours) {
    day.milkMostC = Math.max(day.milkMostC, milkC);
    day.probeMostC = Math.max(day.probeMostC, probeC);
    day.milkLeastC = Math.min(day.milkLeastC, coldMilkC);
    day.probeLeastC = Math.min(day.probeLeastC, coldProbeC);
    day.milkOverMs += milkMs;
    day.probeOverMs += probeMs;
  }
  return day;
}

/** Counts one reading into its hour. */
export function countHour(
  keep: Keep,
  now: { atMs: number; milkC: number; tempC: number; sinceMs: number },
): void {
  const hour = Math.floor(now.atMs / hourMs);
  const highC = keep.window.highC ?? Number.POSITIVE_INFINITY;
  let last = keep.hours.at(-1);
  if (last === undefined || last[0] !== hour) {
    last = [hour, now.milkC, now.tempC, 0, 0, now.milkC, now.tempC];
    keep.hours.push(last);
    while (keep.hours.length > hoursKept || ((keep.hours[0] as number[])[0] as number) <= hour - hoursKept)
      keep.hours.shift();
  }
  const spanMs = Math.min(now.atMs - now.sinceMs, hourMs);
  last[1] = Math.max(last[1], now.milkC);
  last[2] = Math.max(last[2], now.tempC);
  last[5] = Math.min(last[5], now.milkC);
  last[6] = Math.min(last[6], now.tempC);
  if (now.milkC > highC) last[3] += spanMs;
  if (now.tempC > highC) last[4] += spanMs;
}
