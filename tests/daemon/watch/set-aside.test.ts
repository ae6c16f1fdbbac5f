import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { milkTrace } from './trace.ts';

const usual = { place: 'freezer', volumeL: 0.95, material: 'glass', measures: null } as const;

/** Rules in which whatever asks how far the probe `bad` may be off throws: a bug planted in one watch. */
function rules(throws: boolean): WatchRules {
  const bad = {
    ...usual,
    get uncertaintyC(): number {
      if (throws) throw new Error('planted');
      return 0.2;
    },
  };
  return {
    chill: { limitC: 40 / 9, spanMs: 3_600_000, guarded: true },
    places: { freezer: { kind: 'freezer', aroundC: -18 } },
    probes: { good: { ...usual, uncertaintyC: 0.2 }, bad },
    startsByItself: true,
  };
}

function inputs(): Input[] {
  const trace = milkTrace({ beforeMin: 4, aroundC: -2, tauMin: 60, minutes: 20, everyMs: 4_000 });
  return trace.flatMap(({ atMs, tempC }, index) =>
    ['bad', 'good'].map((probe, at): Input => {
      const reading = { probe, atMs, tempC, flags: 0 };
      return { inputSeq: index * 2 + at + 1, receivedMs: atMs, kind: 'reading', reading };
    }),
  );
}

function play(throws: boolean): Happening[] {
  const watching = openWatching();
  const house = rules(throws);
  return inputs().flatMap((input) => drive(watching, input, house));
}

const ofProbe = (events: Happening[], probe: string) =>
  events.filter(({ about }) => about.probe?.includes(probe)).map(({ kind, atMs }) => ({ kind, atMs }));

describe('a lane that throws', () => {
  it('is set aside with an alarm, told once, while the others warn as if nothing were', () => {
    const events = play(true);
    expect(ofProbe(events, 'good').map(({ kind }) => kind)).toContain('chill-will-miss');
    const doubted = events.filter(({ kind }) => kind === 'probe-doubted');
    expect(doubted.map(({ about, body }) => [about, body])).toEqual([
      [{ probe: ['bad'] }, { weight: 'alarm', watch: null, probe: 'bad' }],
    ]);
    expect(new Set(events.map(({ id }) => id)).size).toBe(events.length);
  });

  it('changes nothing of what is said of the others', () => {
    // Inputs of the two probes alternate, so a watch's id is the same in both runs.
    expect(ofProbe(play(true), 'good')).toEqual(ofProbe(play(false), 'good'));
  });

  it('says the same again from the same inputs', () => {
    expect(play(true)).toEqual(play(true));
  });
});
