import { expect, it } from 'vitest';
import { proveAttack } from './attack-proof.ts';

it('finds no hole in an opened house, and each that is planted, by quick attacks', async () => {
  const families = ['auth', 'session', 'rebinding', 'origin', 'topics', 'owner'];
  expect(await proveAttack(families)).toMatchObject({ found: [], holes: families.length, missed: [] });
}, 60_000);
