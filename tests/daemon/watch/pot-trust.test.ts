import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import { heatForecastOf, heatViewOf, holdViewOf } from '../../../daemon/watch/pot-view.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Word } from '../../../shared/contract/word.ts';
import { heatSentence } from '../../../shared/sentences/pot-sentence.ts';
import { trustPot } from '../../skill/pot/trust-pot.ts';

const minute = 60_000;
const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 60 * minute, guarded: true },
  places: { stove: { kind: 'pot', aroundC: 20 } },
  probes: { pot: { place: 'stove', volumeL: 4, material: null, uncertaintyC: 0, measures: null } },
  startsByItself: true,
};
const speech = { units: 'C', zone: 'UTC', language: 'en', names: { pot: 'Copper pot' } } as never;

/** A pot on which a word opens a watch, then a reading each 5 s along a curve. */
function pot(word: Word, curve: (atMin: number) => number, minutes: number) {
  const watching = openWatching();
  const events: Happening[] = [];
  let inputSeq = 1;
  events.push(
    ...drive(
      watching,
      { inputSeq, receivedMs: 0, kind: 'word', wordId: 'begin-pot-1', by: 'house', word },
      rules,
    ),
  );
  for (let atMs = 5_000; atMs <= minutes * minute; atMs += 5_000) {
    const tempC = Math.round(curve(atMs / minute) * 16) / 16;
    const reading = { probe: 'pot', atMs, tempC, flags: 0 };
    events.push(
      ...drive(watching, { inputSeq: ++inputSeq, receivedMs: atMs, kind: 'reading', reading }, rules),
    );
  }
  const lane = watching.lanes.get('pot');
  if (lane === undefined) throw new Error('no lane');
  const said = events.flatMap((event) =>
    event.kind === 'probe-doubted' || event.kind === 'probe-trusted'
      ? [[event.kind, 'why' in event.body ? event.body.why : null]]
      : [],
  );
  return { lane, events, said };
}

const heat: Word = { kind: 'heat-begin', probe: 'pot', limitC: 85 };
/** Milk that climbs 2 °C a minute, and a probe that hangs in air near 30 °C from minute 12 on. */
const climbs = (atMin: number) => 20 + 2 * atMin;
const fallsOut = (atMin: number) => (atMin < 12 ? climbs(atMin) : 30 + 14 * Math.exp(-(atMin - 12) / 1.2));
/** Jumps of a tip on a hot bottom, each a third of a minute. */
const jumps = (atMin: number) => climbs(atMin) + ([7, 4, 9, 5, 8, 3.5][Math.floor(atMin * 3) % 6] ?? 0);

describe('a probe in a pot', () => {
  it('is doubted as out of the milk, and the heat says so and how to mend it', () => {
    const { lane, said } = pot(heat, fallsOut, 18);
    expect(said).toEqual([['probe-doubted', 'out-of-milk']]);
    const view = heatViewOf(lane);
    expect([view?.state, view?.doubt?.why, view?.forecast?.verdict]).toEqual([
      'doubted',
      'out-of-milk',
      'doubted',
    ]);
    const sentence = view === null ? null : heatSentence(view, speech, 18 * minute);
    expect(sentence?.notes[0]).toBe('Put its tip back into the milk.');
  });

  it('feeds no warning while it is out: a fall is not told as a pot that cools', () => {
    const { events, lane } = pot(heat, fallsOut, 30);
    expect(events.some(({ kind }) => kind === 'heat-will-not-reach' || kind === 'heat-turned')).toBe(false);
    expect(lane.heat?.latest?.tempC).toBeGreaterThan(40);
  });

  it('is believed again once it is back in its milk, and the forecast goes on', () => {
    const back = (atMin: number) => (atMin < 17 ? fallsOut(atMin) : climbs(atMin));
    const { lane, said } = pot(heat, back, 24);
    expect(said.map(([kind]) => kind)).toEqual(['probe-doubted', 'probe-trusted']);
    const crossing = lane.heat === null ? null : heatForecastOf(lane.heat)?.crossing.p50;
    expect(Math.abs((crossing ?? 0) / minute - 32.5)).toBeLessThan(2);
  });

  it('is doubted as touching the bottom, and what it said too hot reaches no target', () => {
    const { events, said } = pot({ ...heat, limitC: 50 } as Word, jumps, 13.5);
    expect(said[0]).toEqual(['probe-doubted', 'touching-bottom']);
    expect(events.some(({ kind }) => kind === 'heat-reached')).toBe(false);
  });

  it('begins a hold again where it touches the bottom', () => {
    const hold = { limitC: 60, holdMs: 30 * minute };
    const word = { kind: 'hold-begin', probe: 'pot', hold } as const;
    // The bottom is less hot under milk that is only held.
    const { lane, said } = pot(word, (atMin) => 62 + (jumps(atMin) - climbs(atMin)) / 2.5, 12);
    expect(said[0]).toEqual(['probe-doubted', 'touching-bottom']);
    const view = holdViewOf(lane);
    expect([view?.state, view?.lastBreak?.why, view?.provedMs]).toEqual(['doubted', 'doubted', 0]);
  });

  it('is not doubted where cold milk is poured in, a stir cools it, or the heat goes off', () => {
    const poured = (atMin: number) =>
      climbs(atMin) - (atMin < 10 ? 0 : 9 * (1 - Math.exp(-(atMin - 10) / 0.3)));
    const off = (atMin: number) => climbs(Math.min(atMin, 25)) - 0.5 * Math.max(0, atMin - 25);
    const stirred = (atMin: number) => climbs(atMin) - (atMin % 5 < 0.2 ? 1.5 : 0);
    for (const curve of [poured, off, stirred]) expect(pot(heat, curve, 32).said).toEqual([]);
  });

  it('is found in simulated pots of both makes, and let be where it hangs free', () => {
    const why = (trouble: 'none' | 'touching' | 'lifted') =>
      ([1, 2] as const).flatMap((population) =>
        [0, 1, 2, 3].flatMap((place) => trustPot({ population, seed: 91, place, trouble })?.why ?? []),
      );
    expect(why('none')).toEqual([]);
    expect(why('touching').length).toBeGreaterThanOrEqual(5);
    expect(new Set(why('lifted'))).toEqual(new Set(['out-of-milk']));
  });
});
