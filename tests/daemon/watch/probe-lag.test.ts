import { expect, it } from 'vitest';
import { lagInMilk } from '../../../daemon/watch/probe-lag.ts';
import { addReading, openRecent, type Recent } from '../../../daemon/watch/recent.ts';

const startMs = 1_760_000_000_000;
const intoMs = startMs + 60_000;

/** A first-order probe from 20 °C into milk of 35 °C that stands, then cools by 0.6 °C a minute. */
function comingIn(lagS: number, { everyS = 2, jumpC = 15 } = {}): Recent {
  const recent = openRecent();
  for (let atS = 0; atS <= 300; atS += everyS) {
    const since = atS - 60;
    const cold = Math.max(0, since - lagS - 60) / 100;
    const tempC = since <= 0 ? 35 - jumpC : 35 - jumpC * Math.exp(-since / lagS) - cold;
    addReading(recent, { atMs: startMs + atS * 1000, tempC: Math.round(tempC * 16) / 16 });
  }
  return recent;
}

it.each([5, 12, 25, 45])('learns a lag of %d s within a quarter from one coming into milk', (lagS) => {
  const learnedS = lagInMilk(comingIn(lagS), intoMs) ?? 0;
  expect(Math.abs(Math.log(learnedS / lagS))).toBeLessThan(Math.log(1.25));
});

it('learns nothing from a small jump, nor from a few readings', () => {
  expect(lagInMilk(comingIn(12, { jumpC: 2 }), intoMs)).toBeNull();
  expect(lagInMilk(comingIn(12, { everyS: 60 }), intoMs)).toBeNull();
  expect(lagInMilk(openRecent(), intoMs)).toBeNull();
});
