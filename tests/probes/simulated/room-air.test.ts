import { expect, it } from 'vitest';
import { roomC } from '../../../probes/simulated/room-air.ts';

it('swings about its mean once a day, warmest at its hour', () => {
  const room = { meanC: 18, swingC: 1.5, warmestHourUtc: 15 };
  const at = (time: string) => roomC(room, Date.parse(`2026-03-03T${time}:00Z`));
  expect(at('15:00')).toBeCloseTo(19.5, 9);
  expect(at('03:00')).toBeCloseTo(16.5, 9);
  expect(at('09:00')).toBeCloseTo(18, 9);
  expect(at('21:00')).toBeCloseTo(18, 9);
});
