import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import { watchViewOf } from '../../../daemon/watch/view.ts';
import { type Happening, recordEvent } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import type { Word } from '../../../shared/contract/word.ts';

const minute = 60_000;
const limitC = 40 / 9;
const places = { chest: { kind: 'freezer' as const, aroundC: null } };
const rules: WatchRules = {
  chill: { limitC, spanMs: 60 * minute, guarded: true },
  places,
  probes: { jar: { place: 'chest', volumeL: 0.95, material: 'glass', uncertaintyC: 0.2, measures: null } },
  startsByItself: false,
};
const withTub = { ...rules, places: { ...places, tub: { kind: 'ice-bath' as const, aroundC: null } } };

/** A watch on milk that falls by Newton's law: in still cold air, and from `done` on in ice of 1 °C or as before. */
function openJar(of: WatchRules) {
  const state: Watching = openWatching();
  let inputSeq = 0;
  let atMs = 0;
  let milkC = 36;
  const say = (word: Word): Happening[] =>
    drive(
      state,
      { inputSeq: ++inputSeq, receivedMs: atMs, kind: 'word', wordId: `w${inputSeq}`, by: 'house', word },
      of,
    );
  const cool = (minutes: number, aroundC: number, tauMin: number): Happening[] => {
    const events: Happening[] = [];
    for (let left = minutes * 12; left > 0; left--) {
      atMs += 5_000;
      milkC += (aroundC - milkC) * (1 - Math.exp(-5 / 60 / tauMin));
      const reading = { probe: 'jar', atMs, tempC: Math.round(milkC * 16) / 16, flags: 0 };
      const input: Input = { inputSeq: ++inputSeq, receivedMs: atMs, kind: 'reading', reading };
      events.push(...drive(state, input, of));
    }
    return events;
  };
  const chill = () => state.lanes.get('jar')?.chill ?? null;
  const view = () => {
    const lane = state.lanes.get('jar');
    return lane === undefined ? null : watchViewOf(lane);
  };
  say({ kind: 'chill-begin', probe: 'jar' });
  return { state, say, cool, chill, view, now: () => atMs };
}

const done = (rescue: 'ice-bath-stirred' | 'split' | 'stir', more = {}): Word => ({
  kind: 'rescue-done',
  probe: 'jar',
  rescue,
  ...more,
});
const kinds = (events: readonly Happening[]) => events.map(({ kind }) => kind);

describe('a way out that was taken, in a house without a place for it', () => {
  const jar = openJar(rules);
  const before = jar.cool(14, -16, 95);
  const opened = jar.view();
  const words = jar.say(done('ice-bath-stirred'));
  const after = jar.view();
  const later = jar.cool(14, 1, 10);

  it('is kept with what had been said of it', () => {
    expect(kinds(before)).toContain('chill-will-miss');
    const offered = opened?.forecast?.rescues.find(({ kind }) => kind === 'ice-bath-stirred');
    const taken = words.find((event) => event.kind === 'rescue-taken');
    expect(taken?.body).toEqual({
      watch: opened?.id,
      rescue: 'ice-bath-stirred',
      chance: offered?.chance,
      crossing: offered?.crossing,
      lastUsefulAtMs: offered?.lastUsefulAtMs,
      vessels: null,
    });
    const kept = { v: 1, recordSeq: 1, prev: '', hash: '', ...taken };
    expect(recordEvent.safeParse(kept).success).toBe(true);
  });

  it('goes on in the same watch and window, with nothing of the old curve', () => {
    expect(after?.id).toBe(opened?.id);
    expect(after?.window).toEqual(opened?.window);
    expect([after?.state, after?.forecast]).toEqual(['too-early', null]);
    expect(after?.taken).toEqual([{ kind: 'ice-bath-stirred', atMs: 14 * minute }]);
  });

  it('is judged by the new curve alone, in the new surroundings', () => {
    const now = jar.view();
    expect(now?.state).toBe('on-course');
    expect(now?.forecast?.assumed.place).toBe('ice-bath');
    // 1 °C by Newton's law with 10 minutes: from the word on 10 ln((T - 1) / (4.44 - 1)).
    const milkC = -16 + 52 * Math.exp(-14 / 95);
    const truthMin = 14 + 10 * Math.log((milkC - 1) / (limitC - 1));
    expect(Math.abs((now?.forecast?.crossing.p50 ?? 0) / minute - truthMin)).toBeLessThan(3);
    expect(kinds(later)).not.toContain('chill-will-miss');
  });

  it('is not offered again', () => {
    expect(jar.view()?.forecast?.rescues.map(({ kind }) => kind)).not.toContain('ice-bath-stirred');
  });
});

describe('a way out that was taken into a place of the house', () => {
  it('moves the milk there: a new watch with the old window and what was done', () => {
    const jar = openJar(withTub);
    jar.cool(14, -16, 95);
    const opened = jar.view();
    const events = jar.say(done('ice-bath-stirred'));
    expect(kinds(events)).toEqual([
      'word-said',
      'rescue-taken',
      'watch-ended',
      'sitting-ended',
      'sitting-opened',
      'watch-opened',
      'prior-learned',
    ]);
    const moved = jar.view();
    expect(moved?.window.deadlineMs).toBe(opened?.window.deadlineMs);
    expect(jar.chill()?.told.place).toBe('ice-bath');
    expect(moved?.taken).toEqual([{ kind: 'ice-bath-stirred', atMs: 14 * minute }]);
  });
});

describe('smaller jars', () => {
  it('hold their part of the milk', () => {
    const jar = openJar(rules);
    jar.cool(14, -16, 95);
    jar.say(done('split', { vessels: 3 }));
    expect(jar.chill()?.told).toMatchObject({ place: 'freezer', volumeL: 0.95 / 3 });
  });

  it('are not taken for the next jar when they go in', () => {
    const jar = openJar(rules);
    jar.cool(14, -16, 95);
    const { id } = jar.view() ?? {};
    jar.say(done('split', { vessels: 3 }));
    jar.cool(2, 60, 9);
    jar.cool(6, -16, 60);
    expect(jar.view()?.id).toBe(id);
  });
});

describe('a way out that fails', () => {
  it('is warned of again by its own curve, after six minutes of it at the soonest', () => {
    const jar = openJar(rules);
    jar.cool(14, -16, 95);
    jar.say(done('stir'));
    const events = jar.cool(20, -16, 95);
    const warned = events.filter((event) => event.kind === 'chill-will-miss');
    expect(warned).toHaveLength(1);
    expect((warned[0]?.atMs ?? 0) - 14 * minute).toBeGreaterThanOrEqual(6 * minute);
  });
});

describe('a word of a way out where no chill is open', () => {
  it('is noted and does nothing', () => {
    const state = openWatching();
    const input: Input = {
      inputSeq: 1,
      receivedMs: 0,
      kind: 'word',
      wordId: 'w',
      by: 'house',
      word: done('stir'),
    };
    expect(kinds(drive(state, input, rules))).toEqual(['word-said']);
  });
});

describe('a restart after a way out was taken', () => {
  it('resumes from the snapshot and says the same', () => {
    const whole = openJar(rules);
    whole.cool(40, -16, 95);
    expect(whole.chill()?.rescues.length).toBeGreaterThanOrEqual(2);
    // Ways out are kept with their pictures; they may be no more than the half of a small snapshot.
    expect(JSON.stringify(whole.chill()?.rescues).length).toBeLessThan(8_192);
    whole.say(done('ice-bath-stirred'));
    whole.cool(5, 1, 10);
    const kept = JSON.parse(JSON.stringify([...whole.state.lanes.values()]));
    const resumed = openWatching(kept);
    const next: Input = {
      inputSeq: 100_000,
      receivedMs: whole.now() + 10_000,
      kind: 'reading',
      reading: { probe: 'jar', atMs: whole.now() + 10_000, tempC: 12, flags: 0 },
    };
    expect(drive(resumed, next, rules)).toEqual(drive(whole.state, next, rules));
    expect([...resumed.lanes.values()]).toEqual([...whole.state.lanes.values()]);
  });
});
