/** What `springhouse check FILE` says. */

import { counted, formatHeight, formatSpan, formatTemp } from '../../shared/units/format.ts';
import type { House } from './house-file.ts';
import { readHouse } from './read-house.ts';

/** The answer of a check: the exit code (0 in order, 1 with faults) and lines for a person, each ended. */
export type CheckedHouse = { exitCode: 0 | 1; text: string };

/** Reads a house file and says in full what is wrong with it, or in one line what it holds. */
export async function checkHouse(path: string): Promise<CheckedHouse> {
  const read = await readHouse(path);
  if (read.ok) return { exitCode: 0, text: `${path} is in order: ${summaryOf(read.house)}\n` };
  const count = read.faults.length;
  const lines = read.faults.map(({ message }) => message);
  return {
    exitCode: 1,
    text: [...lines, `${count} fault${count === 1 ? '' : 's'} in ${path}.`, ''].join('\n'),
  };
}

function summaryOf({ house, chill, probes, places, vessels, sources, broker }: House): string {
  const { units } = house;
  const wires = sources.length + (broker === null ? 0 : 1);
  const limit = formatTemp(chill.limitC, { units });
  return [
    `${house.name} at ${formatHeight(house.heightM, units)}`,
    counted(probes.length, 'probe'),
    counted(places.length, 'place'),
    counted(vessels.length, 'vessel'),
    counted(wires, 'wire'),
    `milk under ${limit} within ${formatSpan(chill.spanMs)}.`,
  ].join(', ');
}
