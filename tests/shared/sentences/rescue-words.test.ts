import { expect, test } from 'vitest';
import type { Rescue, RescueKind } from '../../../shared/contract/forecast.ts';
import {
  rescueChance,
  rescueImperative,
  rescueTaken,
  rescueWants,
  takenSince,
} from '../../../shared/sentences/rescue-words.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';

const speech: Speech = { language: 'en', units: 'F', zone: 'UTC', names: {} };
const at = (clock: string) => Date.parse(`2026-04-18T${clock}:00Z`);
const way: Omit<Rescue, 'path'> = {
  kind: 'ice-bath',
  lastUsefulAtMs: at('07:12'),
  chance: 0.9,
  crossing: { p10: null, p50: null, p90: null },
  iceKg: 1.3,
  waterL: 2.5,
  waterSpanMs: 600_000,
  vessels: 4,
  cautions: [],
};

test.each<[RescueKind, string, string, string]>([
  [
    'ice-bath-stirred',
    'Into stirred ice by 7:12,',
    '1.5 kg of ice, as much water as milk; stir milk and bath every few minutes',
    'It’s in the ice',
  ],
  ['ice-bath', 'Into an ice bath by 7:12,', '1.5 kg of ice, as much water as milk', 'It’s in the ice'],
  ['cold-water', 'Into cold water by 7:12,', '2.5 L of cold water', 'It’s in the water'],
  [
    'cold-water-then-ice',
    'Into cold water, then stirred ice, by 7:12,',
    '10 minutes in 2.5 L of cold water, then 1.5 kg of ice; stir every few minutes',
    'It’s in the water',
  ],
  ['split', 'Into smaller jars by 7:12,', 'poured into 4, the probe in one of them', 'It’s in smaller jars'],
  ['stir', 'Stir it by 7:12,', 'every few minutes, where it stands', 'I’m stirring it'],
  ['fan', 'Nearer the fan by 7:12,', 'where it stands, with air all round', 'It’s at the fan'],
])('says of %s what to do, what it wants and that it was done', (kind, imperative, wants, taken) => {
  const told = { ...way, kind };
  expect(rescueImperative(told, at('07:04'), speech)).toBe(imperative);
  expect(rescueWants(told)).toBe(wants);
  expect(rescueTaken(kind)).toBe(taken);
});

test('asks for as much ice as milk where no volume was told', () => {
  const untold = { ...way, iceKg: null, waterL: null };
  expect(rescueWants(untold)).toBe('as much ice, and water, as milk');
  expect(rescueWants({ ...untold, kind: 'cold-water-then-ice' })).toBe(
    '10 minutes in cold water, then as much ice as milk; stir every few minutes',
  );
});

test.each([
  [1, 'would make it'],
  [0.8, 'would make it'],
  [0.799, 'makes it 7 times in 10'],
  [0.1, 'makes it once in 10'],
  [0.09, 'would not make it'],
])('calls a chance of %d "%s"', (chance, text) => {
  expect(rescueChance({ ...way, chance })).toBe(text);
});

test('says how milk stands since a way out was taken', () => {
  expect(takenSince({ kind: 'split', atMs: at('07:03') }, speech)).toBe('In smaller jars since 7:03');
  expect(takenSince({ kind: 'cold-water-then-ice', atMs: at('07:03') }, speech)).toBe(
    'In cold water since 7:03',
  );
});
