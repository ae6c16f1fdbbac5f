import { describe, expect, it } from 'vitest';
import { crossedAtMs } from '../../../daemon/watch/crossing.ts';
import { advance, drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import { watchViewOf } from '../../../daemon/watch/view.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { readingFlags } from '../../../shared/contract/input.ts';
import { milkTrace, type TraceOptions } from './trace.ts';

const limitC = ((40 - 32) * 5) / 9;
const minute = 60_000;

const rules: WatchRules = {
  chill: { limitC, spanMs: 60 * minute, guarded: true },
  places: { freezer: { kind: 'freezer', aroundC: null }, tub: { kind: 'ice-bath', aroundC: null } },
  probes: {
    jar: { place: null, volumeL: 0.95, material: 'glass', uncertaintyC: 0.2, measures: null },
  },
  startsByItself: true,
};

/** On course: an ice bath at 0 °C that halves the difference each 9 minutes. Doomed: four times slower. */
const good: TraceOptions = { beforeMin: 5, aroundC: 0, tauMin: 13, minutes: 90 };
const doomed: TraceOptions = { beforeMin: 5, aroundC: -2, tauMin: 50, minutes: 110 };

function inputsOf(options: TraceOptions, firstSeq = 1): Input[] {
  return milkTrace(options).map(({ atMs, tempC }, index) => ({
    inputSeq: firstSeq + index,
    receivedMs: atMs,
    kind: 'reading',
    reading: { probe: 'jar', atMs, tempC, flags: 0 },
  }));
}

function run(inputs: readonly Input[], state: Watching = openWatching()): Happening[] {
  return inputs.flatMap((input) => drive(state, input, rules));
}

const goodEvents = run(inputsOf(good));
const doomedEvents = run(inputsOf(doomed));
const kinds = (events: readonly Happening[]) => events.map(({ kind }) => kind);
const inMs = (options: TraceOptions) => (milkTrace(options)[0]?.atMs ?? 0) + 5 * minute;

describe('a chill on course', () => {
  const events = goodEvents;

  it('begins by itself within 5 minutes, since the minute the milk went in', () => {
    const opened = events.find((event) => event.kind === 'watch-opened');
    expect(opened?.body.window).toMatchObject({ limitC, spanMs: 60 * minute, origin: 'insertion' });
    expect(Math.abs((opened?.body.sinceMs ?? 0) - inMs(good))).toBeLessThanOrEqual(minute);
    expect((opened?.atMs ?? 0) - inMs(good)).toBeLessThanOrEqual(5 * minute);
  });

  it('is said to be made, once, and never warned of', () => {
    expect(kinds(events)).not.toContain('chill-will-miss');
    expect(kinds(events).filter((kind) => kind === 'chill-made')).toEqual(['chill-made']);
    expect(kinds(events)).not.toContain('chill-missed');
  });

  it('is made where the milk went under the limit, to the minute', () => {
    const made = events.find((event) => event.kind === 'chill-made');
    const truth = milkTrace(good).find(({ milkC }) => milkC !== null && milkC <= limitC)?.atMs ?? 0;
    expect(Math.abs((made?.body.crossedAtMs ?? 0) - truth)).toBeLessThanOrEqual(minute);
  });
});

describe('a chill that will miss', () => {
  const events = doomedEvents;

  it('is warned of once, before minute 20', () => {
    const warned = events.filter((event) => event.kind === 'chill-will-miss');
    expect(warned.map(({ body }) => body.weight)).toEqual(['warn']);
    expect((warned[0]?.atMs ?? 0) - inMs(doomed)).toBeLessThanOrEqual(20 * minute);
  });

  it('is missed when its hour is up, which is told and not warned again', () => {
    const missed = events.find((event) => event.kind === 'chill-missed');
    expect(missed?.atMs).toBe(missed?.body.window.deadlineMs);
    expect(missed?.body.weight).toBe('tell');
    const truth = milkTrace(doomed).find(({ atMs }) => atMs >= (missed?.atMs ?? 0))?.milkC ?? 0;
    expect(Math.abs((missed?.body.tempC ?? 0) - truth)).toBeLessThan(0.3);
  });

  it('is told of when it gets there late', () => {
    expect(kinds(events)).toContain('chill-late');
    expect(kinds(events)).not.toContain('chill-made');
  });
});

describe('a restart', () => {
  it.each([1, 700, 2_400])('after input %i resumes from its snapshot and says the same', (cut) => {
    const inputs = inputsOf(doomed);
    const state = openWatching();
    const before = run(inputs.slice(0, cut), state);
    const lanes = JSON.parse(JSON.stringify([...state.lanes.values()]));
    const after = run(inputs.slice(cut), openWatching(lanes));
    expect([...before, ...after]).toEqual(doomedEvents);
  });

  it('passes over inputs that a lane has taken before', () => {
    const inputs = inputsOf(good);
    const state = openWatching();
    run(inputs, state);
    expect(run(inputs, state)).toEqual([]);
  });

  it('does not take its own silence for the probe’s', () => {
    const inputs = inputsOf(doomed).slice(0, 600);
    const state = openWatching();
    run(inputs, state);
    const lastMs = inputs.at(-1)?.receivedMs ?? 0;
    const start: Input = {
      inputSeq: 10_000,
      receivedMs: lastMs + 20 * minute,
      kind: 'start',
      release: '0.1.0',
      known: true,
      aliveUntilMs: lastMs,
      clean: false,
    };
    expect(kinds(drive(state, start, rules))).toEqual(['house-started']);
    expect(kinds(advance(state, lastMs + 21 * minute, rules))).not.toContain('probe-silent');
    expect(kinds(advance(state, lastMs + 40 * minute, rules))).toContain('probe-silent');
  });
});

describe('silence', () => {
  it('is told by 10 minutes for a probe that speaks every 2 s, and its end is told', () => {
    const inputs = inputsOf(doomed);
    const heard = inputs.slice(0, 700);
    const lastMs = heard.at(-1)?.receivedMs ?? 0;
    const state = openWatching();
    run(heard, state);
    const events = advance(state, lastMs + 10 * minute, rules);
    const silent = events.find((event) => event.kind === 'probe-silent');
    expect(silent?.body).toMatchObject({ weight: 'warn', lastHeardMs: lastMs });
    const lane = state.lanes.get('jar');
    expect(lane && watchViewOf(lane)?.state).toBe('silent');
    const again = run(
      inputs.filter(({ receivedMs }) => receivedMs > lastMs + 10 * minute).slice(0, 1),
      state,
    );
    expect(kinds(again)).toEqual(['probe-heard']);
  });
});

describe('readings in another order', () => {
  const outcome = (inputs: readonly Input[]) => {
    const state = openWatching();
    const events = run(inputs, state);
    const chill = state.lanes.get('jar')?.chill;
    const made = events.some(({ kind }) => kind === 'chill-made');
    return { made, crossedAtMs: chill ? crossedAtMs(chill.typed) : null };
  };

  it.each([
    ['good', good],
    ['doomed', doomed],
  ])('within 15 min, in a watch already open, end a %s chill in the same outcome', (_, options) => {
    const inputs = inputsOf(options);
    const open = 400;
    const random = lcg(5);
    const shuffled = inputs
      .slice(open)
      .map((input) => ({ input, key: input.receivedMs + random() * 15 * minute }))
      .sort((a, b) => a.key - b.key)
      .map(({ input, key }, index) => ({
        ...input,
        receivedMs: Math.round(key),
        inputSeq: open + 1 + index,
      }));
    expect(outcome([...inputs.slice(0, open), ...shuffled])).toEqual(outcome(inputs));
  });

  it('amend a miss when the readings of the last minutes come late', () => {
    const slow: TraceOptions = { ...good, tauMin: 25, minutes: 80 };
    const inputs = inputsOf(slow);
    const truthMs = milkTrace(slow).find(({ milkC }) => milkC !== null && milkC <= limitC - 0.3)?.atMs ?? 0;
    expect(truthMs).toBeLessThan(inMs(slow) + 58 * minute);
    const held = inputs.filter(({ receivedMs }) => receivedMs > truthMs - 5 * minute);
    const late = held.map((input, index) => ({ ...input, receivedMs: inMs(slow) + 65 * minute + index }));
    const events = run([...inputs.filter((input) => !held.includes(input)), ...late]);
    const missed = events.find(({ kind }) => kind === 'chill-missed');
    const made = events.find(({ kind }) => kind === 'chill-made');
    expect(made).toMatchObject({ amends: missed?.id });
  });
});

describe('a step of the clock', () => {
  it.each([-3_600_000, 3_600_000])('by %i ms neither shortens nor lengthens the hour', (deltaMs) => {
    const byReceipt = (inputs: Input[]) =>
      inputs.map((input) =>
        input.kind === 'reading'
          ? { ...input, reading: { ...input.reading, flags: readingFlags.receipt } }
          : input,
      );
    const inputs = byReceipt(inputsOf(doomed));
    const whole = doomedEvents.find(({ kind }) => kind === 'chill-missed');
    const cut = 900;
    const at = inputs[cut]?.receivedMs ?? 0;
    const later = inputs.slice(cut).map((input) => ({
      ...input,
      inputSeq: input.inputSeq + 1,
      receivedMs: input.receivedMs + deltaMs,
      ...(input.kind === 'reading'
        ? { reading: { ...input.reading, atMs: input.reading.atMs + deltaMs } }
        : {}),
    })) as Input[];
    const turn: Input = { inputSeq: cut + 1, receivedMs: at + deltaMs, kind: 'clock', deltaMs, known: true };
    const stepped = run([...inputs.slice(0, cut), turn, ...later]).find(
      ({ kind }) => kind === 'chill-missed',
    );
    expect(stepped?.atMs).toBe((whole?.atMs ?? 0) + deltaMs);
  });

  it('leaves instants alone that the source gave', () => {
    const inputs = inputsOf(doomed);
    const cut = 900;
    const at = inputs[cut]?.receivedMs ?? 0;
    const turn: Input = { inputSeq: 0, receivedMs: at, kind: 'clock', deltaMs: 3_600_000, known: true };
    const numbered = [...inputs.slice(0, cut), turn, ...inputs.slice(cut)].map((input, index) => ({
      ...input,
      inputSeq: index + 1,
    }));
    const missed = (events: Happening[]) => events.find(({ kind }) => kind === 'chill-missed')?.atMs;
    expect(missed(run(numbered))).toBe(missed(doomedEvents));
  });
});

describe('a word', () => {
  const word = (
    inputSeq: number,
    receivedMs: number,
    said: Extract<Input, { kind: 'word' }>['word'],
  ): Input => ({
    inputSeq,
    receivedMs,
    kind: 'word',
    wordId: `word-${inputSeq}`,
    by: 'house',
    word: said,
  });

  it('lets the hour count from the end of milking', () => {
    const inputs = inputsOf(doomed);
    const state = openWatching();
    run(inputs.slice(0, 600), state);
    const nowMs = inputs[600]?.receivedMs ?? 0;
    const endedMs = inMs(doomed) - 8 * minute;
    const events = run([word(5_000, nowMs, { kind: 'milking-ended', probe: 'jar', atMs: endedMs })], state);
    expect(kinds(events)).toEqual(['word-said', 'window-moved']);
    expect(state.lanes.get('jar')?.chill?.window).toEqual({
      limitC,
      spanMs: 60 * minute,
      originMs: endedMs,
      origin: 'milking',
      deadlineMs: endedMs + 60 * minute,
    });
  });

  it('counts a milking that ended before the milk went in', () => {
    const inputs = inputsOf(good);
    const endedMs = inMs(good) - 4 * minute;
    const first = word(1, inputs[0]?.receivedMs ?? 0, { kind: 'milking-ended', probe: 'jar', atMs: endedMs });
    const events = run([first, ...inputs.map((input) => ({ ...input, inputSeq: input.inputSeq + 1 }))]);
    const opened = events.find((event) => event.kind === 'watch-opened');
    expect(opened?.body.window).toMatchObject({ origin: 'milking', originMs: endedMs });
  });

  it('moves a jar: a new sitting and watch, the same window', () => {
    const inputs = inputsOf(doomed);
    const state = openWatching();
    run(inputs.slice(0, 900), state);
    const before = state.lanes.get('jar')?.chill;
    const events = run(
      [word(5_000, inputs[900]?.receivedMs ?? 0, { kind: 'moved', probe: 'jar', place: 'tub' })],
      state,
    );
    expect(kinds(events)).toEqual([
      'word-said',
      'watch-ended',
      'sitting-ended',
      'sitting-opened',
      'watch-opened',
    ]);
    const after = state.lanes.get('jar')?.chill;
    expect(after?.window).toEqual(before?.window);
    expect(after?.told.place).toBe('ice-bath');
  });

  it('begins and ends a watch by hand', () => {
    const inputs = inputsOf({ ...good, beforeMin: 0 });
    const state = openWatching();
    const begun = run([word(1, inputs[0]?.receivedMs ?? 0, { kind: 'chill-begin', probe: 'jar' })], state);
    expect(kinds(begun)).toEqual(['word-said', 'sitting-opened', 'watch-opened']);
    const ended = run(
      [word(2, inputs[9]?.receivedMs ?? 0, { kind: 'watch-end', watch: 'chill-jar-1' })],
      state,
    );
    expect(kinds(ended)).toEqual(['word-said', 'watch-ended', 'sitting-ended']);
    expect(state.lanes.get('jar')?.chill).toBe(null);
  });
});

/** A small linear congruential generator for shuffles (Numerical Recipes’ constants, from memory). */
function lcg(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}
