import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';
import { columnLines } from './columns.ts';

/** What `springhouse prior` prints: a line a lesson, newest last, with what was not learned from and why. */
export function priorTable({ lessons }: HousePrior): string {
  if (lessons.length === 0) return 'Nothing is learned yet: a chill of 8 min or more teaches.\n';
  const head = ['when (UTC)', 'place', 'milk', 'vessel', 'min', 'around °C', 'per min', 'what of it'];
  const rows = [head, ...lessons.map(rowOf)];
  return `${columnLines(rows).join('\n')}\n`;
}

function rowOf(lesson: Lesson): string[] {
  const { aroundC, aroundSdC, crossed, endedMs, logPerMin, material, place, spanMs, taken, volumeL } = lesson;
  return [
    new Date(endedMs).toISOString().slice(0, 16).replace('T', ' '),
    place,
    volumeL === null ? '-' : `${Number(volumeL.toFixed(2))} L`,
    material ?? '-',
    `${Math.round(spanMs / 60_000)}`,
    `${aroundC.toFixed(1)} ± ${aroundSdC.toFixed(1)}`,
    Math.exp(logPerMin).toFixed(4),
    !taken
      ? 'left out: far from anything usual of such a place'
      : crossed
        ? 'to its limit'
        : 'ended before its limit',
  ];
}
