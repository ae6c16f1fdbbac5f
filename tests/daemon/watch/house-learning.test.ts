import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import { type Happening, type HappeningOf, recordEvent } from '../../../shared/contract/event.ts';
import type { HousePrior } from '../../../shared/contract/prior.ts';

const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 3_600_000, guarded: false },
  places: { tub: { kind: 'ice-bath', aroundC: null } },
  probes: { jar: { place: 'tub', volumeL: 1, material: 'glass', uncertaintyC: 0, measures: null } },
  startsByItself: false,
};

type House = { watching: Watching; inputSeq: number; events: Happening[] };

const openHouse = (): House => ({ watching: openWatching(), inputSeq: 0, events: [] });

/** Newton's law into a bath of 1 °C: at the limit after 42.6 min. */
const milkC = (min: number) => 1 + 35 * Math.exp(-0.0545 * min);

function say(house: House, word: never, receivedMs: number, by: WatchRules): void {
  const input = {
    inputSeq: ++house.inputSeq,
    receivedMs,
    kind: 'word',
    wordId: 'w',
    by: 'house',
    word,
  } as const;
  house.events.push(...drive(house.watching, input, by));
}

/** One chill begun by a word, read each 20 s, ended by a word. */
function chill(house: House, fromMs: number, { min, by = rules }: { min: number; by?: WatchRules }): void {
  say(house, { kind: 'chill-begin', probe: 'jar' } as never, fromMs, by);
  const watch = house.watching.lanes.get('jar')?.chill?.id;
  for (let s = 0; s <= min * 60; s += 20) {
    const atMs = fromMs + s * 1000;
    const reading = { probe: 'jar', atMs, tempC: milkC(s / 60), flags: 0 };
    const input = { inputSeq: ++house.inputSeq, receivedMs: atMs, kind: 'reading', reading } as const;
    house.events.push(...drive(house.watching, input, by));
  }
  say(house, { kind: 'watch-end', watch } as never, fromMs + min * 60_000 + 1, by);
}

const hourMs = 3_600_000;
const startMs = Date.UTC(2026, 4, 1);
const of = <K extends Happening['kind']>(house: House, kind: K) =>
  house.events.filter((event) => event.kind === kind) as HappeningOf<K>[];

describe('the learning of a house', () => {
  it('tells the whole prior once a chill, in the form of the record, and pins the newest one to the next watch', () => {
    const house = openHouse();
    chill(house, startMs, { min: 60 });
    chill(house, startMs + 2 * hourMs, { min: 60 });
    const learned = of(house, 'prior-learned');
    expect(learned.map(({ body }) => body.prior.lessons.length)).toEqual([1, 2]);
    expect(of(house, 'watch-opened').map(({ body }) => body.prior)).toEqual([undefined, learned[0]?.id]);
    const sealed = { ...learned[1], v: 1, recordSeq: 1, prev: '', hash: '' };
    expect(recordEvent.parse(sealed)).toEqual(sealed);
    expect(learned[1]?.body.lesson).toMatchObject({
      place: 'tub',
      kind: 'ice-bath',
      volumeL: 1,
      crossed: true,
      taken: true,
    });
    expect(learned[1]?.body.lesson.aroundC).toBeCloseTo(1, 0);
  });

  it('counts a chill that ended before its limit, and none of less than 8 min', () => {
    const house = openHouse();
    chill(house, startMs, { min: 25 });
    chill(house, startMs + 2 * hourMs, { min: 9 });
    expect(of(house, 'prior-learned').map(({ body }) => body.lesson.crossed)).toEqual([false]);
  });

  it('ends a stretch where a way out is taken, and learns nothing of the place from what follows', () => {
    const house = openHouse();
    say(house, { kind: 'chill-begin', probe: 'jar' } as never, startMs, rules);
    for (let s = 0; s <= 3000; s += 20) {
      const atMs = startMs + s * 1000;
      if (s === 1200) say(house, { kind: 'rescue-done', probe: 'jar', rescue: 'stir' } as never, atMs, rules);
      const reading = { probe: 'jar', atMs, tempC: milkC(s / 60), flags: 0 };
      const input = { inputSeq: ++house.inputSeq, receivedMs: atMs, kind: 'reading', reading } as const;
      house.events.push(...drive(house.watching, input, rules));
    }
    expect(of(house, 'prior-learned').map(({ body }) => [body.lesson.crossed, body.lesson.taken])).toEqual([
      [false, true],
    ]);
  });

  it('goes on from kept lanes with the same prior, and gives the same events', () => {
    const whole = openHouse();
    for (let day = 0; day < 4; day++) chill(whole, startMs + day * 2 * hourMs, { min: 60 });
    const parted = openHouse();
    for (let day = 0; day < 2; day++) chill(parted, startMs + day * 2 * hourMs, { min: 60 });
    parted.watching = openWatching(JSON.parse(JSON.stringify([...parted.watching.lanes.values()])));
    for (let day = 2; day < 4; day++) chill(parted, startMs + day * 2 * hourMs, { min: 60 });
    expect(parted.events).toEqual(whole.events);
  });

  it('goes by a prior that the rules bring, and by nothing once a person had it forgotten', () => {
    const taught = openHouse();
    for (let day = 0; day < 3; day++) chill(taught, startMs + day * 2 * hourMs, { min: 60 });
    const prior = of(taught, 'prior-learned').at(-1)?.body.prior as HousePrior;
    const house = openHouse();
    chill(house, startMs, { min: 60, by: { ...rules, prior } });
    expect(of(house, 'watch-opened')[0]?.body.prior).toBe(of(taught, 'prior-learned').at(-1)?.id);
    say(taught, { kind: 'prior-forget' } as never, startMs + 8 * hourMs, rules);
    expect(of(taught, 'prior-forgotten').map(({ body }) => body)).toEqual([{ lessons: 3 }]);
    chill(taught, startMs + 9 * hourMs, { min: 60 });
    expect(of(taught, 'watch-opened').at(-1)?.body.prior).toBeUndefined();
    expect(of(taught, 'prior-learned').at(-1)?.body.prior.lessons).toHaveLength(1);
  });
});
