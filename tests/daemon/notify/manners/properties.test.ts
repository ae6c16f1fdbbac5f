import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isQuiet, minuteOfDay, nextTimeOfDayMs } from '../../../../daemon/notify/manners/hours.ts';
import { lettersPerMinuteMax } from '../../../../daemon/notify/manners/post.ts';
import { type MannersRules, type Receiver, rankOf } from '../../../../daemon/notify/manners/rules.ts';
import { type Draft, type Manners, openManners } from '../../../../daemon/notify/manners/state.ts';
import { stepManners, wakeAtMs } from '../../../../daemon/notify/manners/step.ts';
import type { RecordEvent } from '../../../../shared/contract/event.ts';
import { dawnMs, fridge, milker, minuteMs, probe, word } from './told.ts';

const zones = ['UTC', 'America/Denver', 'Europe/Vienna', 'Asia/Kolkata', 'Australia/Lord_Howe'];

const receivers: fc.Arbitrary<Receiver[]> = fc
  .array(
    fc.record({
      ways: fc.constantFrom(['mail'], ['bell', 'mail'], ['bell', 'mail', 'page']),
      from: fc.constantFrom('tell', 'warn', 'alarm'),
      afterMin: fc.constantFrom(0, 0, 10),
      zone: fc.constantFrom(...zones),
      quiet: fc.option(
        fc.record({
          fromMin: fc.integer({ min: 0, max: 1_439 }),
          toMin: fc.integer({ min: 0, max: 1_439 }),
          wake: fc.constantFrom('alarm' as const, 'warn' as const, null),
        }),
      ),
      digestMin: fc.option(fc.integer({ min: 0, max: 1_439 })),
    }),
    { minLength: 1, maxLength: 3 },
  )
  .map((list) =>
    list.map(
      ({ afterMin, ...one }, index): Receiver => ({
        ...milker,
        ...one,
        id: `r${index}`,
        afterMs: afterMin * minuteMs,
      }),
    ),
  );

type Happens = { gapMin: number; what: number; which: number };
const happens: fc.Arbitrary<Happens[]> = fc.array(
  fc.record({
    gapMin: fc.constantFrom(0, 0, 0, 1, 5, 16, 61, 700),
    what: fc.integer({ min: 0, max: 8 }),
    which: fc.integer({ min: 0, max: 3 }),
  }),
  { minLength: 1, maxLength: 60 },
);

function eventOf({ what, which }: Happens, recordSeq: number, atMs: number): RecordEvent {
  const keep = `keep-fridge${which}-7`;
  const jar = `jar${which}`;
  const said = [
    ['probe-silent', probe.silent(jar)],
    ['probe-heard', probe.heard(jar)],
    ['keep-will-leave', fridge.willLeave('warn', keep)],
    ['keep-will-leave', fridge.willLeave('tell', keep)],
    ['keep-left', fridge.left(keep)],
    ['keep-back', fridge.back(keep)],
    ['watch-ended', { watch: keep, reason: 'word', met: null, crossedAtMs: null }],
    ['word-said', word.seen(`${keep}:course`)],
    ['word-said', word.snoozed(`probe-${jar}:silence`, (atMs - dawnMs) / minuteMs + 20)],
  ] as const;
  const [kind, body] = said[what] as (typeof said)[number];
  const by = kind === 'word-said' ? { kind: 'person', id: 'r0' } : { kind: 'daemon', id: 'watch' };
  const head = {
    v: 1,
    recordSeq,
    id: `${kind}/${recordSeq}`,
    atMs,
    by,
    about: {},
    because: [],
    prev: '',
    hash: '',
  };
  return { ...head, kind, body } as unknown as RecordEvent;
}

type Played = {
  events: RecordEvent[];
  letters: Draft[];
  seen: { matter: string; atMs: number }[];
  ticks: number;
};

/** Plays what happens, with every wake on the way and a week after it; `restarts` keeps only what JSON keeps. */
function play({ receivers }: { receivers: Receiver[] }, list: Happens[], restarts: boolean): Played {
  const rules: MannersRules = { receivers, region: 'household' };
  let state = openManners();
  const played: Played = { events: [], letters: [], seen: [], ticks: 0 };
  let nowMs = dawnMs;
  const take = (input: Parameters<typeof stepManners>[1]): void => {
    if (restarts) state = JSON.parse(JSON.stringify(state)) as Manners;
    const turn = stepManners(state, input, rules);
    state = turn.state;
    played.letters.push(...turn.letters);
  };
  const passTo = (toMs: number): void => {
    for (;;) {
      const wakeMs = wakeAtMs(state);
      if (wakeMs === null || wakeMs > toMs) break;
      nowMs = Math.max(nowMs, wakeMs);
      take({ kind: 'tick', nowMs });
      played.ticks += 1;
      if (played.ticks > 10_000) throw new Error('a tick asks for itself again and again');
    }
    nowMs = toMs;
  };
  for (const each of list) {
    passTo(nowMs + each.gapMin * minuteMs);
    const event = eventOf(each, played.events.length + 1, nowMs);
    played.events.push(event);
    take({ kind: 'events', events: [event], nowMs });
  }
  passTo(nowMs + 7 * 1_440 * minuteMs);
  return played;
}

const runs = { numRuns: 150, seed: 4 };

describe('whatever happens', () => {
  it('the same letters are written after a restart at every instant', () => {
    fc.assert(
      fc.property(receivers, happens, (list, what) => {
        const rules = { receivers: list };
        expect(play(rules, what, true)).toEqual(play(rules, what, false));
      }),
      runs,
    );
  });

  it('no letter is written twice', () => {
    fc.assert(
      fc.property(receivers, happens, (list, what) => {
        const keys = play({ receivers: list }, what, false).letters.map(
          ({ id, receiver, way }) => `${id} ${receiver} ${way}`,
        );
        expect(new Set(keys).size).toBe(keys.length);
      }),
      runs,
    );
  });

  it('every alarm reaches everybody who is told at once, within a minute, or at the end of quiet hours', () => {
    fc.assert(
      fc.property(receivers, happens, (list, what) => {
        const { events, letters } = play({ receivers: list }, what, false);
        // An alarm that begins, or that rises from a warning; further news of it may wait.
        const open = new Set<string>();
        for (const event of events) {
          if (!('watch' in event.body) || event.body.watch === null) continue;
          const { watch } = event.body;
          if (event.kind === 'keep-back' || event.kind === 'watch-ended') open.delete(watch);
          if (event.kind !== 'keep-left' || open.has(watch)) continue;
          open.add(watch);
          for (const receiver of list) {
            const { id, quiet, zone } = receiver;
            const hushed = quiet !== null && quiet.wake === null && isQuiet(event.atMs, quiet, zone);
            if (receiver.afterMs > 0 || hushed) continue;
            const told = letters.filter(
              (letter) =>
                letter.receiver === id &&
                letter.madeAtMs >= event.atMs &&
                letter.madeAtMs <= event.atMs + minuteMs &&
                (letter.seqs.includes(event.recordSeq) || (letter.why === 'many' && letter.more > 0)),
            );
            expect(told.length, `${id} of ${event.id}`).toBeGreaterThan(0);
          }
        }
      }),
      runs,
    );
  });

  it('nobody is woken by less than they wished, and nobody told less than they want to be', () => {
    fc.assert(
      fc.property(receivers, happens, (list, what) => {
        for (const letter of play({ receivers: list }, what, false).letters) {
          const { quiet, zone } = list.find(({ id }) => id === letter.receiver) as Receiver;
          if (letter.why === 'digest' || letter.why === 'many') continue;
          if (quiet === null || !isQuiet(letter.madeAtMs, quiet, zone)) continue;
          expect(quiet.wake === null ? 3 : rankOf(quiet.wake)).toBeLessThanOrEqual(rankOf(letter.weight));
        }
      }),
      runs,
    );
  });

  it('nobody gets more letters in a minute than a person can read', () => {
    fc.assert(
      fc.property(receivers, fc.array(fc.integer({ min: 0, max: 3 }), { maxLength: 200 }), (list, whichs) => {
        const flood = whichs.map((which, index) => ({ gapMin: 0, what: index % 2 === 0 ? 4 : 5, which }));
        const { letters } = play({ receivers: list }, flood, false);
        for (const { id } of list) {
          const first = letters.filter(({ receiver, madeAtMs }) => receiver === id && madeAtMs === dawnMs);
          expect(new Set(first.map((letter) => letter.id)).size).toBeLessThanOrEqual(lettersPerMinuteMax + 1);
        }
      }),
      { numRuns: 40, seed: 4 },
    );
  });
});

describe('the next time of day', () => {
  it('is within the next day and a bit, later than now, and shows that time on the clock or just after a gap', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(2026, 0, 1), max: Date.UTC(2027, 0, 1) }),
        fc.integer({ min: 0, max: 1_439 }),
        fc.constantFrom(...zones),
        (atMs, minute, zone) => {
          const nextMs = nextTimeOfDayMs(atMs, minute, zone);
          expect(nextMs).toBeGreaterThan(atMs);
          expect(nextMs - atMs).toBeLessThanOrEqual(26 * 3_600_000);
          const off = (minuteOfDay(nextMs, zone) - minute + 1_440) % 1_440;
          expect(off).toBeLessThanOrEqual(120);
        },
      ),
      { numRuns: 500, seed: 4 },
    );
  });

  it('passes over an hour that daylight saving leaves out, and counts one that comes twice once', () => {
    // Vienna, 29 March 2026: 2:00 becomes 3:00 at 1:00 UTC. 25 October 2026: 3:00 becomes 2:00 at 1:00 UTC (tzdata 2025).
    const spring = nextTimeOfDayMs(Date.UTC(2026, 2, 28, 23), 150, 'Europe/Vienna');
    expect(new Date(spring).toISOString()).toBe('2026-03-29T01:30:00.000Z');
    const autumn = nextTimeOfDayMs(Date.UTC(2026, 9, 24, 22), 360, 'Europe/Vienna');
    expect(new Date(autumn).toISOString()).toBe('2026-10-25T05:00:00.000Z');
  });
});
