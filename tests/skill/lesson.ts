/** From gathered rows to a lesson: features apart from horizons and truths. */
import type { Rows } from './gather.ts';
import { deadlineMin, truthMin } from './jar.ts';
import type { Lesson } from './net.ts';
import { horizonParts, rawColumns } from './row.ts';

const headColumns = 6;

/** Joins rows of several populations into one lesson. */
export function lessonOf(gathered: readonly Rows[]): Lesson {
  const width = gathered[0]?.width ?? 0;
  const horizons = horizonParts.length;
  const featureCount = width - headColumns - horizons - rawColumns;
  const count = gathered.reduce((sum, { rows }) => sum + rows.length / width, 0);
  const features = new Float32Array(count * featureCount);
  const odds = new Float32Array(count * horizons);
  const truths = new Float32Array(count * horizons);
  let row = 0;
  for (const { rows } of gathered) {
    for (let at = 0; at < rows.length; at += width, row++) {
      const crossedMin = rows[at + 4] as number;
      const fromMin = rows[at + 5] as number;
      const reachMin = Math.max(1, deadlineMin - fromMin);
      for (let horizon = 0; horizon < horizons; horizon++) {
        const untilMin = fromMin + (horizonParts[horizon] as number) * reachMin;
        odds[row * horizons + horizon] = rows[at + headColumns + horizon] as number;
        truths[row * horizons + horizon] = untilMin > truthMin ? Number.NaN : crossedMin <= untilMin ? 1 : 0;
      }
      const featuresAt = at + headColumns + horizons;
      features.set(rows.subarray(featuresAt, featuresAt + featureCount), row * featureCount);
    }
  }
  return { features, featureCount, odds, truths, count };
}
