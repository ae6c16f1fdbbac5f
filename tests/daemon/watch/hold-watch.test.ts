import { describe, expect, it } from 'vitest';
import { countedMs } from '../../../daemon/watch/hold-clock.ts';
import type { HoldAsked } from '../../../shared/contract/hold.ts';
import { celsiusOf } from '../../../shared/units/celsius.ts';
import { openPotHouse, type PotHouse, startMs } from './pot-house.ts';

const halfHour: HoldAsked = { limitC: 63, holdMs: 1_800_000 };

function begin(hold: HoldAsked = halfHour, o: Parameters<typeof openPotHouse>[0] = {}): PotHouse {
  const house = openPotHouse(o);
  house.say({ kind: 'hold-begin', probe: 'pot', hold });
  return house;
}

const provedS = (house: PotHouse) => {
  const proof = house.last('hold-proved')?.body.proof;
  return proof === undefined ? null : (proof.toMs - startMs) / 1000;
};

describe('a hold', () => {
  it('is proved at the first reading that makes its time whole, limits included', () => {
    const house = begin();
    house.hold(0, 1795, 63);
    expect(provedS(house)).toBeNull();
    house.read(1800, 63);
    expect(provedS(house)).toBe(1800);
    expect(house.last('hold-proved')?.body).toMatchObject({ marginC: 0, proof: { leastC: 63, mostC: 63 } });
  });

  // 21 CFR 131.3(b) and Reg. (EC) 853/2004: 145 °F is 62.777… °C and no 63 °C.
  it.each([
    ['us-145f-30min', 62.77, {}, false],
    ['eu-63c-30min', 62.77, {}, false],
    ['us-145f-30min', 62.78, {}, true],
    ['eu-63c-30min', 62.78, {}, false],
    ['us-145f-30min', 63, {}, true],
    ['eu-63c-30min', 63, {}, true],
    ['us-145f-30min', 63, { fatPercent: 20 }, false],
    ['eu-63c-30min', 63, { fatPercent: 20 }, true],
    ['us-145f-30min', celsiusOf(150, 'F'), { fatPercent: 20 }, true],
    ['eu-63c-30min', celsiusOf(150, 'F'), { fatPercent: 20 }, true],
  ] as const)('by %s at %f °C of %j is proved: %s', (pair, tempC, product, met) => {
    const house = begin({ holdMs: 1_800_000, pair, product });
    house.hold(0, 1800, tempC);
    expect(house.holding()?.proof !== null).toBe(met);
  });

  it('of 29 min 59 s is none of half an hour', () => {
    const house = begin();
    for (let atS = 0; atS <= 1799; atS += 7) house.read(atS, 63);
    house.read(1799, 63);
    expect(house.kinds()).not.toContain('hold-proved');
  });

  it('begins again with one reading under, and says why', () => {
    const house = begin();
    house.hold(0, 900, 63);
    house.read(905, 62.5);
    house.hold(910, 910 + 1200, 63);
    expect(provedS(house)).toBeNull();
    expect(house.last('hold-broken')?.body).toMatchObject({ why: 'under', heldMs: 900_000, weight: 'warn' });
    house.hold(2115, 910 + 1800, 63);
    expect(provedS(house)).toBe(910 + 1800);
  });

  it('follows the constructed vat run: 30 min between its first and last sample at 63 °C', () => {
    const vat = [60.5, 61.5, 62.3, 62.8, 63, 63.1, 63.2, 63.2, 63.1, 63.1, 63, 63, 63.1, 63.2, 63.1, 63, 63];
    vat.push(63.1, 63.2, 63.2, 63.1, 63, 63, 63.1, 63.2, 63.1, 63.1, 63, 63, 63.1, 63.1, 63.2, 63, 63, 63.1);
    const house = begin({ holdMs: 1_800_000, pair: 'eu-63c-30min' });
    for (const [place, tempC] of vat.entries()) house.read(place * 60, tempC);
    expect(provedS(house)).toBe(34 * 60);
  });

  it('lets no gap count that is longer than three intervals, 10 s at least, 60 s at the most', () => {
    const gapsOf = (everyS: number, gapS: number) => {
      const house = begin({ limitC: 63, holdMs: 600_000 });
      house.hold(0, 300, 63, everyS);
      house.hold(300 + gapS, 300 + gapS + 300, 63, everyS);
      return house.holding()?.lastBreak?.why ?? null;
    };
    expect([gapsOf(1, 10), gapsOf(1, 11), gapsOf(1, 59)]).toEqual([null, 'gap', 'gap']);
    expect([gapsOf(10, 30), gapsOf(10, 31)]).toEqual([null, 'gap']);
    expect([gapsOf(30, 60), gapsOf(30, 61)]).toEqual([null, 'gap']);
    // A probe slower than a minute proves no hold at all.
    expect(gapsOf(75, 75)).toBe('gap');
  });

  it('judges the first gaps once the probe’s interval is known', () => {
    const house = begin({ limitC: 63, holdMs: 600_000 });
    house.read(0, 63);
    house.read(40, 63);
    house.hold(41, 60, 63, 1);
    const hold = house.holding();
    expect(hold?.guarded.startMs).toBe(startMs + 40_000);
  });

  it('is broken by a late reading under, and proves nothing by late ones', () => {
    const house = begin();
    house.hold(0, 900, 63);
    house.read(452, 62.4, { receivedS: 900 });
    expect(house.last('hold-broken')?.body).toMatchObject({ why: 'late-reading' });
    expect(house.holding()?.guarded.startMs).toBe(startMs + 455_000);
    house.hold(905, 455 + 1800, 63);
    expect(provedS(house)).toBe(455 + 1800);
  });

  it('does not bridge a gap with readings that come late', () => {
    const house = begin();
    house.hold(0, 600, 63);
    house.read(700, 63);
    for (let atS = 605; atS < 700; atS += 5) house.read(atS, 63, { receivedS: 701 });
    expect(house.holding()?.guarded.startMs).toBe(startMs + 700_000);
  });

  it('takes back a proof by an event that amends it where a late reading was under', () => {
    const house = begin();
    house.hold(0, 1800, 63);
    const proved = house.last('hold-proved');
    house.read(1002, 62, { receivedS: 1801 });
    expect(house.last('hold-broken')).toMatchObject({ amends: proved?.id, body: { why: 'late-reading' } });
    expect(house.holding()?.proof).toBeNull();
    house.hold(1805, 1005 + 1800, 63);
    expect(provedS(house)).toBe(1005 + 1800);
  });

  it('is proved only beyond the probe’s uncertainty, and as typed where the house has the guard off', () => {
    const guarded = begin(halfHour, { uncertaintyC: 0.5 });
    guarded.hold(0, 1800, 63.4);
    expect(guarded.holding()?.proof).toBeNull();
    expect(guarded.holding()?.typed.provedMs).toBe(startMs + 1_800_000);
    const sure = begin(halfHour, { uncertaintyC: 0.5 });
    sure.hold(0, 1800, 63.5);
    expect(sure.last('hold-proved')?.body.marginC).toBe(0.5);
    const off = begin(halfHour, { uncertaintyC: 0.5, guarded: false });
    off.hold(0, 1800, 63);
    expect(provedS(off)).toBe(1800);
  });

  it('of a batch pair keeps its guard where the house has turned it off', () => {
    const house = begin({ holdMs: 1, pair: 'eu-63c-30min' }, { uncertaintyC: 0.5, guarded: false });
    house.hold(0, 1800, 63.4);
    expect(house.holding()?.proof).toBeNull();
    expect(house.holding()?.marginC).toBe(0.5);
  });

  it('is none under a minute', () => {
    const house = begin({ limitC: 80, holdMs: 59_000 });
    house.hold(0, 120, 85);
    expect(house.kinds()).toEqual(['word-said']);
  });

  it('begins again after a restart of unknown length, and goes on after one of known length', () => {
    const start = (house: PotHouse, atS: number, known: boolean) =>
      house.feed({
        receivedMs: startMs + atS * 1000,
        kind: 'start',
        release: 'test',
        known,
        aliveUntilMs: startMs + 600_000,
        clean: false,
      });
    const unknown = begin();
    unknown.hold(0, 600, 63);
    unknown.crash();
    start(unknown, 605, false);
    unknown.hold(605, 700, 63);
    expect(unknown.last('hold-broken')?.body).toMatchObject({ why: 'restart', heldMs: 600_000 });
    expect(unknown.holding()?.guarded.startMs).toBe(startMs + 605_000);
    const known = begin();
    known.hold(0, 600, 63);
    known.crash();
    start(known, 605, true);
    known.hold(605, 1800, 63);
    expect(provedS(known)).toBe(1800);
  });

  it('is neither shortened nor lengthened by a step of the clock its readings go by', () => {
    const house = begin();
    for (let atS = 0; atS <= 900; atS += 5) house.read(atS, 63, { byReceipt: true });
    house.feed({ receivedMs: startMs + 902_000 + 3_600_000, kind: 'clock', deltaMs: 3_600_000, known: true });
    for (let atS = 905; atS <= 1800; atS += 5) house.read(3600 + atS, 63, { byReceipt: true });
    const proof = house.last('hold-proved')?.body.proof;
    expect(proof && proof.toMs - proof.fromMs).toBe(1_800_000);
  });

  it('goes on the same after a crash at any minute', () => {
    const whole = begin(halfHour, { uncertaintyC: 0.3 });
    const killed = begin(halfHour, { uncertaintyC: 0.3 });
    for (let atS = 0; atS <= 2100; atS += 5) {
      const tempC = 63.6 + 0.2 * Math.sin(atS / 40);
      whole.read(atS, tempC);
      killed.read(atS, tempC);
      if (atS % 240 === 0) killed.crash();
    }
    expect(killed.events).toEqual(whole.events);
  });

  it('says of a batch pair that the air over the milk was not measured, or how warm it was', () => {
    const blind = begin({ holdMs: 1, pair: 'us-145f-30min' });
    blind.hold(0, 1800, 64);
    expect(blind.last('hold-proved')?.body.proof.airLeastC).toBeNull();
    const seen = begin({ holdMs: 1, pair: 'us-145f-30min' });
    for (let atS = 0; atS <= 1800; atS += 5) {
      seen.read(atS, 64);
      if (atS % 60 === 0) seen.read(atS, 66.2, { probe: 'air' });
    }
    expect(seen.last('hold-proved')?.body.proof.airLeastC).toBe(66.2);
  });

  it('of a US batch begins again where the air over the milk is not 5 °F over its limit (3 CCR 584(b))', () => {
    const house = begin({ holdMs: 1, pair: 'us-145f-30min' });
    house.hold(0, 900, 64);
    house.read(901, celsiusOf(149.9, 'F'), { probe: 'air' });
    house.hold(905, 1800, 64);
    expect(house.last('hold-broken')?.body.why).toBe('air');
    expect(house.holding()?.proof).toBeNull();
  });

  it('of a culture has two sides, and foretells its drift out of them', () => {
    const house = begin({ limitC: 40.6, highC: 46.1, holdMs: 4 * 3_600_000 });
    // It leaves at 30,000 s times ln(25 / 20.6).
    const leavesS = 30_000 * Math.log(25 / 20.6);
    for (let atS = 0; atS <= leavesS / 2; atS += 10) house.read(atS, 20 + 25 * Math.exp(-atS / 30_000));
    expect(house.last('hold-will-drift')?.body).toMatchObject({ side: 'under', weight: 'warn' });
    const leftS = ((house.holding()?.outlook?.leaves.p50 ?? 0) - startMs) / 1000 - leavesS / 2;
    expect(Math.abs(leftS / (leavesS / 2) - 1)).toBeLessThan(0.25);
    house.read(20_000, 47);
    expect(countedMs(house.holding()?.guarded as never)).toBe(0);
  });

  it('is followed down after it is proved', () => {
    const house = begin({ limitC: 63, holdMs: 600_000, coolToC: 30 });
    house.hold(0, 600, 64);
    for (let atS = 605; atS <= 4000; atS += 10) house.read(atS, 18 + 46 * Math.exp(-(atS - 600) / 1800));
    // 18 + 46 e^(-t/1800) is 30 at t = 1800 ln(46/12).
    const cooledS = 600 + 1800 * Math.log(46 / 12);
    const cooled = house.last('hold-cooled');
    expect(Math.abs(((cooled?.atMs ?? 0) - startMs) / 1000 - cooledS)).toBeLessThan(20);
    expect(house.last('watch-ended')?.body).toMatchObject({ reason: 'held', met: true });
  });

  it('keeps its state small however long it lasts', () => {
    const house = begin({ limitC: 40, holdMs: 24 * 3_600_000 });
    house.hold(0, 7200, 42, 1);
    expect(JSON.stringify(house.holding()).length).toBeLessThan(32_768);
  });
});
