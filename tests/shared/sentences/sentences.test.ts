import { describe, expect, it } from 'vitest';
import type { WatchState, WatchView } from '../../../shared/contract/api.ts';
import type { HappeningOf, NoticeCode } from '../../../shared/contract/event.ts';
import { type Rescue, rescue as rescueSchema } from '../../../shared/contract/forecast.ts';
import { eventSentence } from '../../../shared/sentences/event-sentence.ts';
import {
  rescueChance,
  rescueName,
  rescueTaken,
  rescueWants,
  rescueWantsSaid,
  takenSince,
} from '../../../shared/sentences/rescue-words.ts';
import { plainText, type Speech } from '../../../shared/sentences/speech.ts';
import { emptySentence, watchSentence } from '../../../shared/sentences/watch-sentence.ts';
import { potNotices } from './pot-notices.ts';

const at = (clock: string) => Date.parse(`2026-04-18T${clock}:00Z`);
const inF: Speech = { language: 'en', units: 'F', zone: 'UTC', names: { jar: 'jar 2' } };
const inC: Speech = { ...inF, units: 'C' };
const limitC = ((40 - 32) * 5) / 9;
const window = {
  limitC,
  spanMs: 3_600_000,
  originMs: at('06:42'),
  origin: 'milking',
  deadlineMs: at('07:42'),
} as const;
const outer = {
  rule: 'us-raw-retail',
  limitC,
  deadlineMs: at('08:42'),
  from: 'milking-end',
} as const;
const crossing = { p10: at('08:25'), p50: at('08:32'), p90: at('08:41') };
const ice: Rescue = {
  kind: 'ice-bath',
  lastUsefulAtMs: at('07:12'),
  chance: 0.93,
  crossing: { p10: at('07:33'), p50: at('07:36'), p90: at('07:39') },
  path: [],
  iceKg: 1,
  cautions: ['warm-glass-cracks', 'water-below-lid', 'clean-tools', 'out-before-freezing'],
};
const watch = 'chill-jar-7';
const head = {
  id: `${watch}/x/1`,
  atMs: at('07:04'),
  by: { kind: 'daemon', id: 'watch' },
  about: { watch: [watch], probe: ['jar'] },
  because: [],
} as const;

type NoticeBodies = { [K in NoticeCode]: HappeningOf<K>['body'] };
const miss = {
  weight: 'warn',
  watch,
  window,
  chance: 0.02,
  crossing,
  atDeadline: null,
  rescue: null,
} as const;

const keepWindow = { lowC: -0.53, highC: limitC };
const leaving = {
  weight: 'warn',
  watch,
  window: keepWindow,
  side: 'warm',
  cause: 'cooling-stopped',
  causeSinceMs: at('06:10'),
  chance: 0.4,
  crossing: { p10: at('08:50'), p50: at('09:31'), p90: at('10:20') },
  milk: { p10: 2.9, p50: 3.1, p90: 3.4 },
} as const;
const left = {
  weight: 'alarm',
  watch,
  window: keepWindow,
  side: 'warm',
  cause: 'cooling-stopped',
  rule: 'continuous',
  leftAtMs: at('06:40'),
  beyondMs: 1_440_000,
  milk: { p10: 5.1, p50: 5.3, p90: 5.8 },
} as const;
const back = {
  weight: 'tell',
  watch,
  window: keepWindow,
  side: 'warm',
  cause: 'power-off',
  leftAtMs: at('06:40'),
  mostC: 5.3,
  milk: { p10: 3.5, p50: 3.6, p90: 4 },
} as const;

/** Every code with a body, and what is said of it in °F. */
const said: { [K in NoticeCode]: [NoticeBodies[K], string][] } = {
  'chill-will-miss': [
    [miss, 'Jar 2: it comes under 40 °F near 8:32, 50 minutes late.'],
    [
      { ...miss, rescue: ice },
      'Jar 2: into an ice bath by 7:12, or it comes under 40 °F near 8:32, 50 minutes late. 1 kg of ice, as much water as milk. Cold water first: warm glass in ice can crack. Keep the water below the lid. Stir with clean tools. Take glass out before it freezes.',
    ],
    [
      {
        ...miss,
        rescue: { ...ice, kind: 'ice-bath-stirred', chance: 0.4, lastUsefulAtMs: null, cautions: [] },
      },
      'Jar 2: into stirred ice now, the quickest way, near 7:36. 1 kg of ice, as much water as milk; stir milk and bath every few minutes.',
    ],
    [
      { ...miss, crossing: { p10: null, p50: null, p90: null } },
      'Jar 2: it does not get under 40 °F as it is going.',
    ],
  ],
  'chill-made': [
    [
      { weight: 'tell', watch, window, crossedAtMs: at('07:36'), tempC: 4, marginC: 0.3 },
      'Jar 2: under 40 °F at 7:36, 54 minutes after the end of milking.',
    ],
  ],
  'chill-missed': [
    [
      { weight: 'warn', watch, window, tempC: 15, marginC: 0.3 },
      'Jar 2: it was 59 °F when its hour was up. That is your house rule, not a safety limit. Follow local rules; when in doubt, don’t drink it raw.',
    ],
    [
      { weight: 'warn', watch, window, tempC: 4.3, marginC: 0.3 },
      'Jar 2: when its hour was up it was 39.8 °F on the probe; sure below 39.5 °F. That is your house rule, not a safety limit. Follow local rules; when in doubt, don’t drink it raw.',
    ],
    [
      { weight: 'warn', watch, window, tempC: null, marginC: 0.3 },
      'Jar 2: its hour is up and it is not known to be under 40 °F. That is your house rule, not a safety limit. Follow local rules; when in doubt, don’t drink it raw.',
    ],
  ],
  'outer-will-miss': [
    [
      { weight: 'warn', watch, window: outer, chance: 0.1, crossing, rescue: ice },
      'Jar 2: into an ice bath by 7:12. US raw retail asks 40 °F and under by 8:42, counted from the end of milking. It will miss that, too, as it is going. Cold water first: warm glass in ice can crack. Keep the water below the lid. Stir with clean tools. Take glass out before it freezes.',
    ],
    [
      {
        weight: 'warn',
        watch,
        window: { ...outer, rule: 'us-pmo', limitC: 10, from: 'milking-start' },
        chance: 0.1,
        crossing,
        rescue: null,
      },
      'Jar 2: US Grade "A" PMO asks 50 °F and under by 8:42, counted from the start of milking. It will miss that, too, as it is going.',
    ],
  ],
  'outer-missed': [
    [
      { weight: 'alarm', watch, window: outer, tempC: 9, marginC: 0.3 },
      'Jar 2: it was 48 °F at 8:42. US raw retail asks 40 °F and under by 8:42, counted from the end of milking. Follow local rules; when in doubt, don’t drink it raw.',
    ],
    [
      { weight: 'alarm', watch, window: outer, tempC: null, marginC: 0.3 },
      'Jar 2: it was not heard near the time that its rule sets. US raw retail asks 40 °F and under by 8:42, counted from the end of milking. Follow local rules; when in doubt, don’t drink it raw.',
    ],
  ],
  'outer-made': [
    [
      { weight: 'tell', watch, window: outer, crossedAtMs: at('08:30') },
      'Jar 2: surely under 40 °F at 8:30; US raw retail asks 40 °F and under by 8:42, counted from the end of milking. Cold slows germs, it does not remove them.',
    ],
  ],
  'chill-late': [
    [
      { weight: 'tell', watch, window, crossedAtMs: at('08:31') },
      'Jar 2: under 40 °F at 8:31, 49 minutes late. Cold slows germs, it does not remove them.',
    ],
  ],
  'freeze-near': [
    [
      { weight: 'warn', watch, nearMs: at('08:50'), tempC: 0.4, freezesC: -0.53 },
      'Jar 2: take the glass out by 8:50, before the milk freezes; freezing milk cracks glass.',
    ],
  ],
  ...potNotices,
  'keep-will-leave': [
    [
      leaving,
      'Jar 2: it has not cooled since 6:10; the milk passes 40 °F near 9:31 if nothing changes. Look at plug and switch, keep the door shut; ice beside the jars gains time.',
    ],
    [
      { ...leaving, cause: 'power-off' },
      'Jar 2: the power is off since 6:10; the milk passes 40 °F near 9:31 if nothing changes. Keep the door shut; ice beside the jars gains time.',
    ],
    [
      { ...leaving, cause: 'door-ajar' },
      'Jar 2: the door stands ajar since 6:10; the milk passes 40 °F near 9:31 if nothing changes. Shut the door.',
    ],
    [
      { ...leaving, cause: 'warming', crossing: { p10: null, p50: null, p90: null } },
      'Jar 2: it is getting warmer; the milk may pass 40 °F. Look at the door and the plug.',
    ],
  ],
  'keep-left': [
    [
      left,
      'Jar 2: the milk is over 40 °F since 6:40, near 41.6 °F; it has not cooled. Look at plug and switch, keep the door shut; ice beside the jars gains time. Follow local rules; when in doubt, don’t drink it raw.',
    ],
    [
      { ...left, rule: 'cumulative', beyondMs: 4 * 3_600_000 },
      'Jar 2: the milk was over 40 °F for 4 hours in the last day, near 41.6 °F now. Use what stands in it sooner, never later, than its age rule says. Follow local rules; when in doubt, don’t drink it raw.',
    ],
  ],
  'keep-back': [
    [
      back,
      'Jar 2: the power was off; the milk was over 40 °F from 6:40, near 41.6 °F at the most. Use what stands in it sooner, never later, than its age rule says.',
    ],
    [
      { ...back, cause: 'door-ajar', leftAtMs: null, mostC: null },
      'Jar 2: the door was ajar; the milk stayed under 40 °F.',
    ],
  ],
  'keep-drifts': [
    [
      {
        weight: 'tell',
        watch,
        meanC: 3.9,
        meanBeforeC: 3,
        dutyShare: 0.46,
        dutyBeforeShare: 0.23,
      },
      'Jar 2: runs 46 % of the time, 23 % a week ago; its air is 39.0 °F in the mean, 37.4 °F a week ago. Look at its door seal, its coils and its frost.',
    ],
  ],
  'probe-silent': [
    [
      { weight: 'warn', watch, probe: 'jar', lastHeardMs: at('06:58'), lastC: 28, usualMs: 5_000 },
      'Jar 2: no word from the probe since 6:58. It usually speaks every 5 s. Look at the probe.',
    ],
  ],
  'probe-heard': [
    [
      { weight: 'tell', watch, probe: 'jar', silentMs: 720_000, tempC: 25 },
      'Jar 2: the probe is heard again after 12 minutes, at 77 °F.',
    ],
  ],
  'probe-doubted': [
    [
      { weight: 'alarm', watch, probe: 'jar' },
      'Jar 2: what the probe said could not be judged and was set aside. Look at the milk yourself, then at the probe.',
    ],
    [
      { weight: 'warn', watch, probe: 'jar', why: 'stuck', sinceMs: at('06:58') },
      'Jar 2: the probe is not believed since 6:58: it shows one value while the milk must be changing. Look at the milk yourself, then at the probe. Hold its tip in your hand for a moment: where the number stays, the probe wants changing.',
    ],
    [
      { weight: 'warn', watch, probe: 'jar', why: 'power-on', sinceMs: at('06:58') },
      'Jar 2: the probe is not believed since 6:58: it shows what it shows after losing power. Look at the milk yourself, then at the probe. See to its power and its plug.',
    ],
    [
      { weight: 'warn', watch, probe: 'jar', why: 'wandering', sinceMs: at('06:58') },
      'Jar 2: the probe is not believed since 6:58: it jumps as no milk does; a contact may be loose. Look at the milk yourself, then at the probe. Push its plug home and keep its wire still.',
    ],
    [
      { weight: 'warn', watch, probe: 'jar', why: 'open-or-shorted', sinceMs: at('06:58') },
      'Jar 2: the probe is not believed since 6:58: its wire may be broken or shorted. Look at the milk yourself, then at the probe. See to its plug and its wire.',
    ],
  ],
  'probe-trusted': [
    [{ weight: 'tell', watch, probe: 'jar', tempC: 25 }, 'Jar 2: the probe is believed again, at 77 °F.'],
  ],
  'way-failed': [
    [
      {
        weight: 'warn',
        watch: null,
        way: 'mail',
        wayKind: 'email',
        why: 'connection refused',
        instead: ['bell'],
      },
      'The e-mail (mail): letters do not leave (connection refused). bell takes over.',
    ],
    [
      { weight: 'warn', watch: null, way: 'bell', wayKind: 'command', why: 'exit code 1', instead: [] },
      'The command (bell): letters do not leave (exit code 1). No other way takes over: look at the page.',
    ],
  ],
  'way-works': [
    [
      { weight: 'tell', watch: null, way: 'hook', wayKind: 'webhook', failedMs: 720_000 },
      'The webhook (hook): letters leave again, after 12 minutes.',
    ],
  ],
  'disk-refuses': [
    [
      { weight: 'alarm', watch: null, why: 'house.db must be on a disk with room, got none', sinceMs: 0 },
      'The house: its disk refuses to write since 0:00 (house.db must be on a disk with room, got none). It watches on and warns, and records nothing. Make room on the disk, or look at the card.',
    ],
  ],
  'disk-takes': [
    [
      { weight: 'tell', watch: null, refusedMs: 720_000 },
      'The house: its disk takes writes again, after 12 minutes. Probes that can send again now do; what others sent meanwhile is not in the record.',
    ],
  ],
};

const sentencesOf = (speech: Speech) =>
  Object.entries(said).flatMap(([kind, cases]) =>
    (cases as [object, string][]).map(
      ([body, text]) => [kind, eventSentence({ ...head, kind, body } as never, speech), text] as const,
    ),
  );

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

describe('the sentence of a notice', () => {
  it.each(sentencesOf(inF))('of %s', (_, sentence, text) => {
    expect(plain(sentence)).toBe(text);
  });

  it('is in °C and another zone where the reader wants it', () => {
    const speech: Speech = { ...inC, zone: 'Europe/Vienna' };
    const sentence = eventSentence({ ...head, kind: 'chill-will-miss', body: miss } as never, speech);
    expect(plain(sentence)).toBe('Jar 2: it comes under 4.4 °C near 10:32, 50 minutes late.');
  });
});

const view: WatchView = {
  v: 1,
  id: watch,
  kind: 'chill',
  probe: 'jar',
  state: 'on-course',
  sinceMs: at('06:45'),
  window,
  latest: { atMs: at('07:04'), tempC: 27.8 },
  rateCPerMin: -0.4,
  silentSinceMs: null,
  crossedAtMs: null,
  atDeadlineC: null,
  marginC: 0.3,
  forecast: {
    v: 1,
    watch,
    madeAtMs: at('07:04'),
    dataToMs: at('07:04'),
    verdict: 'on-course',
    chance: 0.9,
    crossing: { p10: at('07:33'), p50: at('07:36'), p90: at('07:39') },
    atDeadline: { p10: 3, p50: 3.5, p90: 4 },
    path: [
      { atMs: at('07:00'), p10C: 30, p50C: 30, p90C: 30 },
      { atMs: at('07:10'), p10C: 25, p50C: 26, p90C: 27 },
    ],
    rescues: [],
    assumed: { place: null, aroundC: null, volumeL: null, from: 'inferred' },
    marginC: 0.3,
  },
};
const late = { ...view.forecast, crossing } as NonNullable<WatchView['forecast']>;

const states: [
  WatchState,
  Partial<WatchView>,
  { word: string; say: string; or: string; handWanted: boolean; notes?: string[] },
][] = [
  [
    'too-early',
    { forecast: null },
    {
      word: 'Too early to say',
      say: 'Watching it cool.',
      or: 'Wanted: 40 °F and under by 7:42.',
      handWanted: false,
    },
  ],
  [
    'too-early',
    { forecast: null, taken: [{ kind: 'ice-bath-stirred', atMs: at('07:03') }] },
    {
      word: 'Too early to say',
      say: 'Watching it cool.',
      or: 'In stirred ice since 7:03. Wanted: 40 °F and under by 7:42.',
      handWanted: false,
    },
  ],
  [
    'on-course',
    {},
    {
      word: 'On course',
      say: 'Under 40 °F near 7:36,',
      or: '6 minutes before its hour is up.',
      handWanted: false,
    },
  ],
  [
    'not-on-course',
    { forecast: late },
    { word: 'Not on course', say: 'Under 40 °F near 8:32,', or: '50 minutes late.', handWanted: false },
  ],
  [
    'not-on-course',
    { forecast: { ...late, rescues: [ice] } },
    {
      word: 'Not on course',
      say: 'Into an ice bath by 7:12,',
      or: 'or it comes under 40 °F 50 minutes late.',
      handWanted: true,
    },
  ],
  [
    'made',
    { crossedAtMs: at('07:36') },
    {
      word: 'Made it',
      say: 'Under 40 °F at 7:36.',
      or: '54 minutes after the end of milking.',
      handWanted: false,
    },
  ],
  [
    'missed',
    { atDeadlineC: 15, forecast: { ...late, rescues: [ice] } },
    {
      word: 'Too late',
      say: 'Into an ice bath by 7:12.',
      or: 'It was 59 °F when its hour was up.',
      notes: expect.arrayContaining(['That is your house rule, not a safety limit.']),
      handWanted: true,
    },
  ],
  [
    'late',
    { crossedAtMs: at('08:31') },
    { word: 'Too late', say: 'Under 40 °F at 8:31.', or: '49 minutes late.', handWanted: false },
  ],
  [
    'silent',
    { latest: { atMs: at('06:58'), tempC: 30 } },
    {
      word: 'No word from the probe',
      say: 'Look at the probe of jar 2,',
      or: 'silent for 6 minutes. By its last curve the milk is near 83 °F.',
      handWanted: true,
    },
  ],
  [
    'doubted',
    {},
    {
      word: 'Probe doubted',
      say: 'Look at the probe of jar 2,',
      or: 'its readings do not fit each other.',
      handWanted: true,
    },
  ],
  ['ended', {}, { word: 'Nothing on watch', say: 'This watch has ended.', or: '', handWanted: false }],
];

const shown = (speech: Speech, state: WatchState, change: Partial<WatchView>) => {
  const sentence = watchSentence({ ...view, ...change, state }, speech, at('07:04'));
  const { word, handWanted, notes } = sentence;
  return { word, say: plain(plainText(sentence.say)), or: plain(plainText(sentence.or)), handWanted, notes };
};

describe('the sentence of a watch', () => {
  it.each(states)('that is %s', (state, change, wanted) => {
    expect(shown(inF, state, change)).toMatchObject(wanted);
  });

  it('sets slanted exactly what has not happened yet', () => {
    const { say, or } = watchSentence(view, inF, at('07:04'));
    expect([...say, ...or].filter(({ forecast }) => forecast).map(({ text }) => text)).toEqual([
      '7:36',
      '6 minutes',
    ]);
  });

  it('waits for warm milk where nothing is on watch', () => {
    const { say, or } = emptySentence(3_600_000);
    expect([plainText(say), plainText(or)]).toEqual([
      'Waiting for warm milk.',
      'The hour starts by itself when a probe feels it.',
    ]);
  });
});

describe('no sentence', () => {
  const every = [
    ...sentencesOf(inF).map(([, sentence]) => sentence),
    ...sentencesOf(inC).map(([, sentence]) => sentence),
    ...[inF, inC].flatMap((speech) =>
      states.flatMap(([state, change]) => {
        const { word, say, or, notes } = shown(speech, state, change);
        return [word, say, or, ...notes];
      }),
    ),
    ...rescueSchema.shape.kind.options.flatMap((kind) => {
      const told = { ...ice, kind, vessels: 4, waterL: 2.5, waterSpanMs: 600_000 };
      const taken = { kind, atMs: at('07:03') };
      return [
        rescueName(kind),
        rescueTaken(kind),
        rescueWantsSaid(told),
        rescueWants({ ...told, iceKg: null, waterL: null }),
        takenSince(taken, inF),
      ];
    }),
    ...[0, 0.45, 0.9].map((chance) => rescueChance({ ...ice, chance })),
  ];

  it('claims what a tool like this cannot know', () => {
    const claims =
      /\b(safe|safely|safety|pasteuri[sz]ed|sterile|legal|certified|compliant|good until|still good)\b/i;
    // The one place where the word stands: it says that the house rule is no such limit.
    const allowed = 'That is your house rule, not a safety limit.';
    expect(every.length).toBeGreaterThan(40);
    expect(
      every.filter((sentence) =>
        claims.test(sentence.replace(allowed, '').replace('; not a legal record.', '')),
      ),
    ).toEqual([]);
  });

  it('is left with a hole in it', () => {
    expect(every.filter((sentence) => /undefined|null|NaN|\[object|Invalid/.test(sentence))).toEqual([]);
  });
});
