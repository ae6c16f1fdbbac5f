/** What is said of a pot: every code with a body, in °F, for the test that reads every sentence. */
import type { HappeningOf } from '../../../shared/contract/event.ts';
import type { PotNotice } from '../../../shared/sentences/pot-words.ts';

const at = (clock: string) => Date.parse(`2026-04-18T${clock}:00Z`);
const ofF = (tempF: number) => ((tempF - 32) * 5) / 9;
const watch = 'heat-jar-7';
const hold = 'hold-jar-9';
const window = {
  limitC: ofF(190),
  spanMs: 10_800_000,
  deadlineMs: at('10:00'),
  toBoil: false,
  holdAfter: null,
} as const;
const held = {
  lowC: ofF(145),
  highC: null,
  holdMs: 1_800_000,
  pair: null,
  airLowC: null,
  coolToC: null,
} as const;
const usBatch = { ...held, pair: 'us-145f-30min', airLowC: ofF(150) } as const;
const crossing = { p10: at('07:29'), p50: at('07:31'), p90: at('07:34') };
const level = { p10: 68, p50: 70, p90: 72 };
const never = { p10: null, p50: null, p90: null };
const short = {
  weight: 'warn',
  watch,
  window,
  chance: 0,
  crossing: never,
  level,
  withLid: null,
  boilsC: 95.41,
} as const;
const proof = {
  fromMs: at('07:00'),
  toMs: at('07:30'),
  leastC: ofF(145.9),
  mostC: ofF(149),
  airLeastC: null,
  worth: { minutes: 36.1, refC: 63, zC: 4.33 },
} as const;
const broken = {
  weight: 'warn',
  watch: hold,
  window: held,
  marginC: 0,
  atMs: at('07:12'),
  heldMs: 720_000,
  tempC: ofF(144.6),
} as const;

type Bodies = { [K in PotNotice['kind']]: [HappeningOf<K>['body'], string][] };

/** Each code's bodies and what is said of them. */
export const potNotices: Bodies = {
  'heat-near': [
    [{ weight: 'tell', watch, window, crossing, tempC: ofF(180) }, 'Jar 2: nearly there: 190 °F near 7:31.'],
  ],
  'heat-off-now': [
    [
      {
        weight: 'warn',
        watch,
        window,
        tempC: ofF(187),
        coast: { p10: ofF(189), p50: ofF(190.4), p90: ofF(191) },
      },
      'Jar 2: heat off now; it climbs on to about 190 °F by itself.',
    ],
    [
      {
        weight: 'warn',
        watch,
        window: { ...window, holdAfter: { holdMs: 600_000 } },
        tempC: ofF(187),
        coast: { p10: ofF(191), p50: ofF(192.2), p90: ofF(193) },
      },
      'Jar 2: turn the heat down low now; it climbs on to about 192 °F by itself, and the hold follows.',
    ],
  ],
  'heat-will-not-reach': [
    [
      { ...short, short: 'levels-off', withLid: crossing },
      'Jar 2: without a lid it stops near 158 °F; put the lid on to get to 190 °F.',
    ],
    [{ ...short, short: 'levels-off' }, 'Jar 2: it stops near 158 °F, short of 190 °F; turn the heat up.'],
    [
      { ...short, short: 'boils-below', window: { ...window, limitC: ofF(210) } },
      'Jar 2: milk boils at 204 °F at this height, so 210 °F cannot be reached in an open pot.',
    ],
    [{ ...short, short: 'too-slow' }, 'Jar 2: it will not get to 190 °F in time; turn the heat up.'],
    [
      { ...short, short: 'too-slow', crossing },
      'Jar 2: it gets to 190 °F near 7:31, too late; turn the heat up.',
    ],
    [{ ...short, short: 'cooling' }, 'Jar 2: it is cooling, short of 190 °F; is the heat still on?'],
    [{ ...short, short: 'not-warming' }, 'Jar 2: it does not warm; is the heat on?'],
  ],
  'heat-reached': [
    [
      { weight: 'tell', watch, window, crossedAtMs: at('07:31'), tempC: ofF(191), marginC: 0.3, sure: true },
      'Jar 2: at 190 °F since 7:31.',
    ],
    [
      { weight: 'tell', watch, window, crossedAtMs: at('07:31'), tempC: ofF(190), marginC: 0.5, sure: false },
      'Jar 2: at 190 °F since 7:31 on the probe; sure from 190.9 °F.',
    ],
  ],
  'heat-over': [
    [
      { weight: 'warn', watch, window, tempC: ofF(195) },
      'Jar 2: it is at 195 °F and still climbs past 190 °F; take it off the heat.',
    ],
  ],
  'heat-missed': [
    [{ weight: 'warn', watch, window, tempC: ofF(158) }, 'Jar 2: its time is up at 158 °F, short of 190 °F.'],
    [{ weight: 'warn', watch, window, tempC: null }, 'Jar 2: its time is up and it was not heard at 190 °F.'],
  ],
  'heat-stir': [
    [
      { weight: 'tell', watch, tempC: 60, rateCPerMin: 3 },
      'Jar 2: stir the bottom: it climbs 5.4 °F a minute, and milk that climbs fast scorches.',
    ],
  ],
  'hold-broken': [
    [
      { ...broken, why: 'under' },
      'Jar 2: the clock begins again: a reading was under 145 °F, after 12 minutes.',
    ],
    [
      { ...broken, why: 'under', marginC: 0.5 },
      'Jar 2: the clock begins again: a reading was not surely at 145 °F, after 12 minutes.',
    ],
    [
      { ...broken, why: 'over', window: { ...held, highC: ofF(150) } },
      'Jar 2: the clock begins again: a reading was over 150 °F, after 12 minutes.',
    ],
    [
      { ...broken, why: 'gap' },
      'Jar 2: the clock begins again: the probe was silent for too long, after 12 minutes.',
    ],
    [
      { ...broken, why: 'restart' },
      'Jar 2: the clock begins again: the house was off for an unknown time, after 12 minutes.',
    ],
    [
      { ...broken, why: 'late-reading' },
      'Jar 2: the clock begins again: a reading that came late was under 145 °F, after 12 minutes.',
    ],
    [
      { ...broken, why: 'air', window: usBatch },
      'Jar 2: the clock begins again: the air over the milk was under 150 °F, after 12 minutes.',
    ],
  ],
  'hold-will-drift': [
    [
      {
        weight: 'warn',
        watch: hold,
        window: held,
        marginC: 0.3,
        side: 'under',
        leaves: crossing,
        provesAtMs: at('07:40'),
        tempC: ofF(146),
      },
      'Jar 2: it goes under 145 °F near 7:31, before its time is up; a little more heat.',
    ],
    [
      {
        weight: 'warn',
        watch: hold,
        window: { ...held, highC: ofF(150) },
        marginC: 0.3,
        side: 'over',
        leaves: never,
        provesAtMs: null,
        tempC: ofF(149),
      },
      'Jar 2: it goes over 150 °F soon, before its time is up; a little less heat.',
    ],
  ],
  'hold-proved': [
    [
      { weight: 'tell', watch: hold, window: held, marginC: 0, proof },
      'Jar 2: at or above 145 °F for 30 minutes at the probe; not a legal record.',
    ],
    [
      { weight: 'tell', watch: hold, window: held, marginC: 0.3, proof },
      'Jar 2: at or above 145 °F for 30 minutes at the probe, margin 0.9 °F; not a legal record.',
    ],
    [
      { weight: 'tell', watch: hold, window: usBatch, marginC: 0.3, proof },
      'Jar 2: at or above 145 °F for 30 minutes at the probe, margin 0.9 °F; not a legal record. The air over the milk was not measured.',
    ],
    [
      {
        weight: 'tell',
        watch: hold,
        window: usBatch,
        marginC: 0.3,
        proof: { ...proof, airLeastC: ofF(151) },
      },
      'Jar 2: at or above 145 °F for 30 minutes at the probe, margin 0.9 °F; not a legal record. The air over the milk was 151 °F or more.',
    ],
    [
      {
        weight: 'tell',
        watch: hold,
        window: { ...held, lowC: ofF(105), highC: ofF(115), holdMs: 14_400_000 },
        marginC: 0,
        proof: { ...proof, leastC: ofF(106) },
      },
      'Jar 2: from 105 °F to 115 °F for 4 hours at the probe; not a legal record.',
    ],
  ],
  'hold-cooled': [
    [
      { weight: 'tell', watch: hold, window: { ...held, coolToC: ofF(86) }, tempC: ofF(86) },
      'Jar 2: cooled to 86 °F.',
    ],
  ],
};
