import { DatabaseSync } from 'node:sqlite';
import { expect, it, onTestFinished } from 'vitest';
import type { IntakeItem } from '../../../daemon/history/intake-item.ts';
import { sealedReadings } from './by-the-page.ts';
import { at, openTestHistory } from './open-history.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

/** A jar's morning at a second's pace: on the grid of a sensor, with a gap, a spike, late packs and a jump of values. */
const morning = Array.from({ length: 4_000 }, (_, second): IntakeItem => {
  const stampMs = dawnMs + second * 1_000 + (second > 2_500 ? 3_600_000 : 0);
  const steps = Math.round((4 + 32 * Math.exp(-second / 1_500) + Math.sin(second * second) / 12) * 16);
  return at(stampMs, second === 1_700 ? 85 : steps / 16, { flags: second % 900 === 0 ? 8 : 0 });
});
/** Stamps of a radio that is never on time, and values of no grid. */
const uneven = Array.from({ length: 700 }, (_, index): IntakeItem => {
  const stampMs = dawnMs + index * 5_000 + Math.round(1_500 * Math.sin(index * 1.7));
  return at(stampMs, 36 - Math.sqrt(index) + Math.sin(index), { probe: 'larder' });
});
/** A few values that come again and again, on no grid. */
const table = Array.from({ length: 600 }, (_, index): IntakeItem => {
  return at(dawnMs + index * 60_000, [Math.PI, Math.E, Math.SQRT2][index % 3] as number, { probe: 'pot' });
});

it.each([
  ['a grid, regular stamps', 'jar', morning],
  ['uneven stamps, no grid', 'larder', uneven],
  ['a table of values', 'pot', table],
])('reads a sealed history by the page on its format: %s', (_, probe, items) => {
  const { database, history, commit } = openTestHistory();
  for (let from = 0; from < items.length; from += 500) commit(...items.slice(from, from + 500));
  history.sealAll();
  const { file } = database.prepare<{ file: string }>('PRAGMA database_list').first() ?? { file: '' };
  const other = new DatabaseSync(file, { readOnly: true });
  onTestFinished(() => other.close());

  const read = sealedReadings(other, probe);
  expect(read.map(({ tempC }) => tempC)).toEqual(items.map(({ tempC }) => tempC));
  expect(read.map(({ atMs }) => atMs)).toEqual(items.map(({ stamp }) => 'atMs' in stamp && stamp.atMs));
  expect(read.map(({ flags }) => flags)).toEqual(items.map(({ flags }) => flags));
});
