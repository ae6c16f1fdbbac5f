/** From gathered rows to a lesson: features apart from horizons and truths. */
import { logPart } from '../../daemon/forecast/learned-correction.ts';
import type { Rows } from './gather.ts';
import { deadlineMin } from './jar.ts';
import type { Lesson } from './net.ts';
import { horizonCount as horizons, rawColumns } from './row.ts';

const headColumns = 6;

/** Joins rows of several populations into one lesson. */
export function lessonOf(gathered: readonly Rows[]): Lesson {
  const width = gathered[0]?.width ?? 0;
  const featureCount = width - headColumns - 2 * horizons - rawColumns;
  const count = gathered.reduce((sum, { rows }) => sum + rows.length / width, 0);
  const features = new Float32Array(count * featureCount);
  const odds = new Float32Array(count * horizons);
  const logParts = new Float32Array(count * horizons);
  const truths = new Float32Array(count * horizons);
  let row = 0;
  for (const { rows } of gathered) {
    for (let at = 0; at < rows.length; at += width, row++) {
      const crossedMin = rows[at + 4] as number;
      const fromMin = rows[at + 5] as number;
      const reachMin = Math.max(1, deadlineMin - fromMin);
      for (let horizon = 0; horizon < horizons; horizon++) {
        const spanMin = rows[at + headColumns + horizons + horizon] as number;
        const place = row * horizons + horizon;
        odds[place] = rows[at + headColumns + horizon] as number;
        logParts[place] = logPart(spanMin / reachMin);
        truths[place] = spanMin <= 0 ? Number.NaN : crossedMin <= fromMin + spanMin ? 1 : 0;
      }
      const featuresAt = at + headColumns + 2 * horizons;
      features.set(rows.subarray(featuresAt, featuresAt + featureCount), row * featureCount);
    }
  }
  return { features, featureCount, odds, logParts, truths, count };
}

/** The pool's log-odds of making the deadline in a gathered row. */
export function oddsFrom(row: Float32Array): number {
  return row[headColumns] as number;
}

/** The features in a gathered row. */
export function featuresFrom(row: Float32Array): number[] {
  return Array.from(row.subarray(headColumns + 2 * horizons, row.length - rawColumns));
}
