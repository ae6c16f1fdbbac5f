import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import { keepViewOf } from '../../../daemon/watch/keep-view.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';

const minuteMs = 60_000;
const startMs = Date.UTC(2026, 3, 18, 6);

const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 60 * minuteMs, guarded: true },
  places: { larder: { kind: 'fridge', aroundC: null }, chest: { kind: 'freezer', aroundC: null } },
  probes: {
    larder: { place: 'larder', volumeL: null, material: null, uncertaintyC: 0.5, measures: 'larder' },
    chest: { place: 'chest', volumeL: null, material: null, uncertaintyC: 0.5, measures: 'chest' },
  },
  heightM: 0,
  startsByItself: true,
};

/** A cycle of 40 minutes between two temperatures, and then up without an end at `pacePerMin`. */
function airC(
  min: number,
  o: { lowC: number; highC: number; stopsAtMin: number; pacePerMin: number },
): number {
  const cycle = (at: number) => {
    const phase = (at % 40) / 40;
    return o.lowC + (o.highC - o.lowC) * (phase < 0.5 ? phase * 2 : 2 - phase * 2);
  };
  return min < o.stopsAtMin ? cycle(min) : cycle(o.stopsAtMin) + (min - o.stopsAtMin) * o.pacePerMin;
}

function run(probe: 'larder' | 'chest', minutes: number, tempAt: (min: number) => number) {
  const watching: Watching = openWatching();
  const events: Happening[] = [];
  for (let index = 0; index < minutes * 2; index++) {
    const atMs = startMs + index * 30_000;
    const reading = { probe, atMs, tempC: tempAt(index / 2), flags: 0 };
    events.push(
      ...drive(watching, { inputSeq: index + 1, receivedMs: atMs, kind: 'reading', reading }, rules),
    );
  }
  const lane = watching.lanes.get(probe);
  return { events, view: lane === undefined ? null : keepViewOf(lane) };
}

const steady = { lowC: 1, highC: 3.5, stopsAtMin: Number.POSITIVE_INFINITY, pacePerMin: 0 };

describe('a probe in the air of a cold place', () => {
  it('is kept without a tap within minutes of its first reading in the window', () => {
    const { events } = run('larder', 5, (min) => airC(min, steady));
    const opened = events.filter((event) => event.kind === 'watch-opened');
    expect(opened.map(({ body }) => body.watch)).toEqual(['keep-larder-6']);
    expect((opened[0]?.atMs ?? 0) - startMs).toBeLessThanOrEqual(3 * minuteMs);
  });

  it('is kept in a freezer too', () => {
    const { events } = run('chest', 5, () => -18);
    expect(events.map(({ kind }) => kind)).toEqual(['watch-opened']);
  });

  it('says nothing of a day in its stride, and shows the coldest and the warmest of it', () => {
    const { events, view } = run('larder', 1440, (min) => airC(min, steady));
    expect(events.filter(({ body }) => 'weight' in body)).toEqual([]);
    expect(view?.state).toBe('keeping');
    expect(view?.cause).toBe('usual');
    expect(view?.day.probeMostC).toBe(3.5);
    expect(view?.day.probeLeastC).toBe(1);
  });

  it('warns that the cooling stopped before the milk is over the limit, and alarms once it is', () => {
    // After two days its spells of warmth are known: no first defrost is waited for.
    const stopsAtMin = 2 * 1440;
    const { events, view } = run('larder', stopsAtMin + 420, (min) =>
      airC(min, { ...steady, stopsAtMin, pacePerMin: 0.06 }),
    );
    const said = events.filter(({ body }) => 'weight' in body);
    expect(said.map(({ kind }) => kind)).toEqual(['keep-will-leave', 'keep-left']);
    const [warned, left] = said;
    expect(warned?.kind === 'keep-will-leave' && warned.body).toMatchObject({
      weight: 'warn',
      cause: 'cooling-stopped',
      side: 'warm',
    });
    expect(left?.body).toMatchObject({ weight: 'alarm', side: 'warm' });
    const leftAtMs = view?.leftAtMs ?? 0;
    expect(leftAtMs - (warned?.atMs ?? 0)).toBeGreaterThan(30 * minuteMs);
  });

  it('only tells of a freezer that thaws, which has no limit of its own', () => {
    const thaws = { lowC: -20, highC: -17, stopsAtMin: 1440, pacePerMin: 0.05 };
    const { events } = run('chest', 1440 + 500, (min) => airC(min, thaws));
    const weights = events.flatMap(({ body }) => ('weight' in body ? [body.weight] : []));
    expect(new Set(weights)).toEqual(new Set(['tell']));
  });
});
