import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import { feelTrust, openTrust } from '../../../daemon/watch/probe-trust.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import { watchViewOf } from '../../../daemon/watch/view.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { milkTrace, type TraceOptions } from './trace.ts';

const minute = 60_000;
const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 60 * minute, guarded: true },
  places: {},
  probes: { jar: { place: null, volumeL: 0.95, material: 'glass', uncertaintyC: 0.2, measures: null } },
  startsByItself: true,
};
const trace: TraceOptions = { beforeMin: 5, aroundC: -2, tauMin: 50, minutes: 40, everyMs: 5_000 };

/** A chill whose probe shows `bent` from minute 20 of the trace on. */
function broken(bent: (tempC: number, place: number) => number, forMin = 40) {
  const rows = milkTrace(trace);
  const fromMs = (rows[0]?.atMs ?? 0) + 20 * minute;
  const state = openWatching();
  let place = 0;
  let heldC = 0;
  const events: Happening[] = rows.flatMap(({ atMs, tempC }, index) => {
    const isBent = atMs >= fromMs && atMs < fromMs + forMin * minute;
    if (!isBent) heldC = tempC;
    const shownC = isBent ? bent(heldC, place++) : tempC;
    const reading = { probe: 'jar', atMs, tempC: shownC, flags: 0 };
    const input: Input = { inputSeq: index + 1, receivedMs: atMs, kind: 'reading', reading };
    return drive(state, input, rules);
  });
  const said = events.filter(({ kind }) => kind === 'probe-doubted' || kind === 'probe-trusted');
  const lane = state.lanes.get('jar');
  return { events, fromMs, lane, said, view: lane === undefined ? null : watchViewOf(lane) };
}

describe('a probe that cannot be believed', () => {
  it.each([
    ['open-or-shorted', () => -127, 20_000],
    ['open-or-shorted', () => 0, 20_000],
    ['power-on', () => 85, 20_000],
    ['wandering', (heldC: number, place: number) => heldC + (place % 2 === 0 ? 0 : -6), 60_000],
    ['stuck', (heldC: number) => heldC, 6 * minute],
  ] as const)('is doubted as %s, once, and its watch with it', (why, bent, withinMs) => {
    const { fromMs, said, view } = broken(bent);
    expect(said.map(({ body, kind }) => [kind, 'why' in body ? body.why : null])).toEqual([
      ['probe-doubted', why],
    ]);
    expect((said[0]?.atMs ?? Infinity) - fromMs).toBeLessThanOrEqual(withinMs);
    expect(view?.state).toBe('doubted');
    expect(view?.doubt?.why).toBe(why);
  });

  it('feeds no watch: zeros of a shorted line make no chill', () => {
    const { events, lane } = broken(() => 0);
    expect(events.some(({ kind }) => kind === 'chill-made')).toBe(false);
    expect(lane?.chill?.latest?.tempC).toBeGreaterThan(10);
    expect(lane?.chill?.guarded.under).toEqual([]);
  });

  it('is believed again once it reads as before', () => {
    const { said, view } = broken(() => 85, 3);
    expect(said.map(({ kind }) => kind)).toEqual(['probe-doubted', 'probe-trusted']);
    expect(view?.state).not.toBe('doubted');
  });

  it('is not told of for a single slip, which still feeds nothing', () => {
    const { events, said } = broken(() => 85, 0.08);
    expect(said).toEqual([]);
    expect(events.some(({ kind }) => kind === 'watch-ended')).toBe(false);
  });
});

describe('a sound probe', () => {
  /** Feels a curve each 5 s for `minutes`, in steps of `stepC`; the doubt it ends in. */
  function doubtOf(curve: (atMin: number) => number, minutes: number, stepC = 0.0625) {
    const trust = openTrust();
    let doubts = 0;
    for (let atS = 0; atS <= minutes * 60; atS += 5) {
      const tempC = Math.round(curve(atS / 60) / stepC) * stepC;
      if (feelTrust(trust, { atMs: atS * 1000, tempC }).turned === 'doubted') doubts += 1;
    }
    return doubts;
  }

  it.each([
    ['that comes near an ice bath', (atMin: number) => 36 * Math.exp(-atMin / 8), 0.0625],
    ['that comes near an ice bath, in half degrees', (atMin: number) => 36 * Math.exp(-atMin / 8), 0.5],
    ['put into milk from the bench', (atMin: number) => (atMin < 2 ? 20 : 36 - 0.05 * atMin), 0.5],
    ['whose milk freezes', (atMin: number) => Math.max(-0.5, 6 - 0.25 * atMin), 0.0625],
    ['whose pot comes to the boil through 85 °C', (atMin: number) => Math.min(95, 60 + 3 * atMin), 0.0625],
    ['at a door that is opened', (atMin: number) => (atMin % 10 < 1 ? 9 : 4), 0.0625],
    ['at rest for a day', () => 4, 0.0625],
  ] as const)('%s is not doubted', (_name, curve, stepC) => {
    expect(doubtOf(curve, 240, stepC)).toBe(0);
  });

  it('is believed at exactly 85 °C where it came there step by step, or begins there', () => {
    expect(feelTrust(openTrust(), { atMs: 0, tempC: 85 })).toEqual({
      usable: true,
      suspect: false,
      turned: null,
    });
  });
});
