/** The manners under test: events in, letters out, time passing from wake to wake. */
import type { MannersRules, Receiver } from '../../../../daemon/notify/manners/rules.ts';
import { type Draft, type Manners, openManners } from '../../../../daemon/notify/manners/state.ts';
import { stepManners, type Undelivered, wakeAtMs } from '../../../../daemon/notify/manners/step.ts';
import type { EventBody, EventKind, RecordEvent } from '../../../../shared/contract/event.ts';
import type { CoolingRuleId } from '../../../../shared/dairy/cooling-rules.ts';

/** A Saturday at 6:00 UTC. */
export const dawnMs = Date.UTC(2026, 3, 18, 6);
export const minuteMs = 60_000;

export const milker: Receiver = {
  id: 'milker',
  name: 'Milker',
  language: 'en',
  units: 'F',
  zone: 'UTC',
  ways: ['bell', 'mail', 'page'],
  from: 'tell',
  afterMs: 0,
  quiet: null,
  digestMin: null,
};

/** What a letter comes to, in one line: `first warn to milker by bell: 3`. */
export function lineOf({ why, weight, receiver, way, seqs }: Draft): string {
  return `${why} ${weight} to ${receiver} by ${way}: ${seqs.join(' ')}`;
}

export type Told = {
  readonly state: Manners;
  readonly rules: MannersRules;
  /** Every letter so far. */
  readonly letters: Draft[];
  /** Keeps an event at an instant (or by minutes after dawn), lets time pass up to it, and returns the letters of it. */
  hear<K extends EventKind>(kind: K, body: EventBody<K>, atMin: number): string[];
  /** Keeps several in one go. */
  hearAll<K extends EventKind>(kind: K, bodies: readonly EventBody<K>[], atMin: number): string[];
  /** Lets time pass from wake to wake and returns the letters that fell due. */
  pass(toMin: number): string[];
  undelivered(undelivered: Undelivered, atMin: number): string[];
};

/** Opens manners that have heard of nothing. */
export function openTold(...receivers: Receiver[]): Told {
  return openToldIn('household', ...receivers);
}

/** The same in a house around whose hour the rule of a region stands. */
export function openToldIn(region: CoolingRuleId, ...receivers: Receiver[]): Told {
  const rules: MannersRules = { receivers, region };
  let state = openManners();
  let recordSeq = 0;
  const letters: Draft[] = [];

  function take(input: Parameters<typeof stepManners>[1]): Draft[] {
    // As after a restart at every input: what is not kept is not known.
    const turn = stepManners(JSON.parse(JSON.stringify(state)) as Manners, input, rules);
    state = turn.state;
    letters.push(...turn.letters);
    return turn.letters;
  }

  function passTo(toMs: number): Draft[] {
    const said: Draft[] = [];
    for (;;) {
      const nextMs = wakeAtMs(state);
      if (nextMs === null || nextMs > toMs) return said;
      said.push(...take({ kind: 'tick', nowMs: nextMs }));
    }
  }

  function hearAll<K extends EventKind>(kind: K, bodies: readonly EventBody<K>[], atMin: number): string[] {
    const nowMs = dawnMs + atMin * minuteMs;
    passTo(nowMs);
    const events = bodies.map((body) => {
      recordSeq += 1;
      const watch = 'watch' in body ? body.watch : null;
      return {
        v: 1,
        recordSeq,
        kind,
        id: `${watch ?? 'house'}/${kind}/${recordSeq}`,
        atMs: nowMs,
        by: kind === 'word-said' ? { kind: 'person', id: 'milker' } : { kind: 'daemon', id: 'watch' },
        about: {},
        because: [],
        body,
        prev: '',
        hash: '',
      } as unknown as RecordEvent;
    });
    return take({ kind: 'events', events, nowMs }).map(lineOf);
  }

  return {
    get state() {
      return state;
    },
    rules,
    letters,
    hear: (kind, body, atMin) => hearAll(kind, [body], atMin),
    hearAll,
    pass: (toMin) => passTo(dawnMs + toMin * minuteMs).map(lineOf),
    undelivered: (undelivered, atMin) =>
      take({ kind: 'undelivered', undelivered, nowMs: dawnMs + atMin * minuteMs }).map(lineOf),
  };
}

const window = {
  limitC: 4.44,
  spanMs: 60 * minuteMs,
  originMs: dawnMs,
  origin: 'milking',
  deadlineMs: dawnMs + 60 * minuteMs,
} as const;

/** The bodies of the events of a jar; `lateMin` is the slow end of when it is under the limit, null for never. */
export const jar = {
  misses: (
    watch: string,
    lateMin: number | null = 100,
    lastUsefulMin: number | null = 30,
  ): EventBody<'chill-will-miss'> => ({
    weight: 'warn',
    watch,
    window,
    chance: 0.05,
    crossing: {
      p10: dawnMs + 80 * minuteMs,
      p50: dawnMs + 90 * minuteMs,
      p90: lateMin === null ? null : dawnMs + lateMin * minuteMs,
    },
    atDeadline: null,
    rescue:
      lastUsefulMin === null
        ? null
        : {
            kind: 'ice-bath-stirred',
            lastUsefulAtMs: dawnMs + lastUsefulMin * minuteMs,
            chance: 0.9,
            crossing: { p10: null, p50: null, p90: null },
            iceKg: 1,
            cautions: [],
          },
  }),
  missed: (watch: string): EventBody<'chill-missed'> => ({
    weight: 'tell',
    watch,
    window,
    tempC: 9,
    marginC: 0.3,
  }),
  made: (watch: string): EventBody<'chill-made'> => ({
    weight: 'tell',
    watch,
    window,
    crossedAtMs: dawnMs,
    tempC: 4,
    marginC: 0.3,
  }),
  opened: (watch: string): EventBody<'watch-opened'> => ({
    watch,
    probe: 'jar',
    window,
    sinceMs: dawnMs,
    marginC: 0.3,
    seed: watch,
  }),
  sits: (
    place: string,
    volumeL = 0.95,
    material: 'glass' | 'steel' = 'glass',
  ): EventBody<'sitting-opened'> => ({
    probe: 'jar',
    place,
    placeKind: 'freezer',
    volumeL,
    material,
    sinceMs: dawnMs,
  }),
};

/** The bodies of the events of a cold place. */
export const fridge = {
  left: (watch = 'keep-fridge-7'): EventBody<'keep-left'> => ({
    weight: 'alarm',
    watch,
    window: { lowC: null, highC: 4.44 },
    side: 'warm',
    cause: 'cooling-stopped',
    rule: 'continuous',
    leftAtMs: dawnMs,
    beyondMs: 60 * minuteMs,
    milk: { p10: 5, p50: 5.5, p90: 6 },
  }),
  willLeave: (
    weight: 'tell' | 'warn' | 'alarm' = 'warn',
    watch = 'keep-fridge-7',
  ): EventBody<'keep-will-leave'> => ({
    weight,
    watch,
    window: { lowC: null, highC: 4.44 },
    side: 'warm',
    cause: 'cooling-stopped',
    causeSinceMs: dawnMs,
    chance: 0.2,
    crossing: { p10: dawnMs + 40 * minuteMs, p50: dawnMs + 60 * minuteMs, p90: null },
    milk: { p10: 3, p50: 3.5, p90: 4 },
  }),
  back: (watch = 'keep-fridge-7'): EventBody<'keep-back'> => ({
    weight: 'tell',
    watch,
    window: { lowC: null, highC: 4.44 },
    side: 'warm',
    cause: 'cooling-stopped',
    leftAtMs: null,
    mostC: null,
    milk: { p10: 3, p50: 3.5, p90: 4 },
  }),
};

export const probe = {
  silent: (id = 'jar'): EventBody<'probe-silent'> => ({
    weight: 'warn',
    watch: null,
    probe: id,
    lastHeardMs: dawnMs,
    lastC: 4,
    usualMs: 5_000,
  }),
  heard: (id = 'jar'): EventBody<'probe-heard'> => ({
    weight: 'tell',
    watch: null,
    probe: id,
    silentMs: 60_000,
    tempC: 4,
  }),
};

export const word = {
  seen: (matter: string): EventBody<'word-said'> => ({
    wordId: `seen-${matter}`,
    word: { kind: 'notice-seen', matter },
  }),
  snoozed: (matter: string, untilMin: number): EventBody<'word-said'> => ({
    wordId: `snoozed-${matter}`,
    word: { kind: 'notice-snoozed', matter, untilMs: dawnMs + untilMin * minuteMs },
  }),
};
