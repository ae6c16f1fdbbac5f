import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { milkTrace, type TraceOptions } from './trace.ts';

const limitC = ((40 - 32) * 5) / 9;
const minute = 60_000;
const rules: WatchRules = {
  chill: { limitC, spanMs: 60 * minute, guarded: true },
  places: {},
  probes: { jar: { place: null, volumeL: 0.95, material: 'glass', uncertaintyC: 0.2, measures: null } },
  region: 'us-raw-retail',
  startsByItself: true,
};
const base: TraceOptions = { beforeMin: 5, aroundC: -2, tauMin: 50, minutes: 150, everyMs: 5_000 };

function inputsOf(options: TraceOptions): Input[] {
  return milkTrace(options).map(({ atMs, tempC }, index) => ({
    inputSeq: index + 1,
    receivedMs: atMs,
    kind: 'reading',
    reading: { probe: 'jar', atMs, tempC, flags: 0 },
  }));
}

function run(
  inputs: readonly Input[],
  given: WatchRules = rules,
  state: Watching = openWatching(),
): Happening[] {
  return inputs.flatMap((input) => drive(state, input, given));
}

const outerOf = (events: readonly Happening[]) => events.filter(({ kind }) => kind.startsWith('outer-'));

describe('the outer window of a region', () => {
  const slow = inputsOf({ ...base, tauMin: 90 });
  const slowEvents = run(slow);

  it('is warned of once the hour is missed, and is an alarm when its own time is up', () => {
    const outer = outerOf(slowEvents);
    expect(outer.map(({ kind, body }) => [kind, 'weight' in body ? body.weight : null])).toEqual([
      ['outer-will-miss', 'warn'],
      ['outer-missed', 'alarm'],
    ]);
    const hour = slowEvents.find((event) => event.kind === 'chill-missed');
    const missed = slowEvents.find((event) => event.kind === 'outer-missed');
    expect(outer[0]?.atMs).toBeGreaterThanOrEqual(hour?.body.window.deadlineMs ?? Infinity);
    expect(missed?.body.window.deadlineMs).toBe((hour?.body.window.originMs ?? 0) + 120 * minute);
    expect(missed?.atMs).toBe(missed?.body.window.deadlineMs);
  });

  it('says nothing of milk that misses the house’s hour but not the region’s two', () => {
    const events = run(inputsOf({ ...base, tauMin: 42 }));
    expect(events.some(({ kind }) => kind === 'chill-missed')).toBe(true);
    expect(outerOf(events)).toEqual([]);
  });

  it('is not there where no region was told', () => {
    const { region: _, ...without } = rules;
    expect(outerOf(run(slow, without))).toEqual([]);
  });

  it('says the same after a restart', () => {
    const state = openWatching();
    const before = run(slow.slice(0, 1_000), rules, state);
    const lanes = JSON.parse(JSON.stringify([...state.lanes.values()]));
    expect([...before, ...run(slow.slice(1_000), rules, openWatching(lanes))]).toEqual(slowEvents);
  });

  it('counts from when milking began where its rule does', () => {
    const pmo: WatchRules = { ...rules, region: 'us-pmo' };
    const [first, ...rest] = slow;
    const endedMs = (first?.receivedMs ?? 0) + 5 * minute;
    const told: Input = {
      inputSeq: 0.5,
      receivedMs: first?.receivedMs ?? 0,
      kind: 'word',
      wordId: 'milked-1',
      by: 'house',
      word: { kind: 'milking-ended', probe: 'jar', atMs: endedMs, beganMs: endedMs - 40 * minute },
    };
    const state = openWatching();
    run([told, ...(first === undefined ? [] : [first]), ...rest].slice(0, 400), pmo, state);
    expect(state.lanes.get('jar')?.chill?.outer.map(({ window }) => window)).toEqual([
      {
        rule: 'us-pmo',
        limitC: ((45 - 32) * 5) / 9,
        deadlineMs: endedMs + 120 * minute,
        from: 'milking-end',
      },
      { rule: 'us-pmo', limitC: 10, deadlineMs: endedMs + 200 * minute, from: 'milking-start' },
    ]);
  });
});
