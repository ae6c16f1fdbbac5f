import { type PlaceKind, placeKind, plainIdPattern } from '../../shared/contract/ids.ts';
import type { HousePrior } from '../../shared/contract/prior.ts';
import { type Word, word } from '../../shared/contract/word.ts';
import { refusedHold } from '../../shared/dairy/legal-holds.ts';
import { parseHeight, parseSpan, parseTemp, parseVolume } from '../../shared/units/parse.ts';

/** A watch asked for on the command line, such as `chill:jar=4.44C/60m`: the word that begins it. */
export type WatchAsked = Extract<Word, { kind: 'chill-begin' | 'heat-begin' | 'hold-begin' | 'keep-begin' }>;

/** Everything `replay` was told. */
export type ReplayOptions = {
  file: string;
  /** In the order in which they begin. */
  watches: WatchAsked[];
  places: Record<string, PlaceKind>;
  around: Record<string, string>;
  volumesL: Record<string, number>;
  heightM: number;
  uncertaintyC: number;
  /** What a house has learned; each probe takes what was learned in places of its kind. */
  prior?: HousePrior;
  /** Spans after a watch's start at which a forecast is asked for. */
  atSpansMs: number[];
};

type Values = Record<string, string | boolean | (string | boolean)[] | undefined>;

/** Reads the values of `replay`'s options; every fault at once. */
export function parseReplayOptions(
  file: string,
  values: Values,
): { options: ReplayOptions } | { faults: string[] } {
  const faults: string[] = [];
  const options: ReplayOptions = {
    file,
    watches: [],
    places: {},
    around: {},
    volumesL: {},
    heightM: 0,
    uncertaintyC: 0,
    atSpansMs: [],
  };
  for (const text of list(values.watch)) takeWatch(options, text, faults);
  for (const text of list(values.place)) {
    const [probe, kind] = pair('--place', text, 'jar=freezer', faults);
    const parsed = placeKind.safeParse(kind);
    if (probe !== null && parsed.success) options.places[probe] = parsed.data;
    else if (probe !== null)
      faults.push(rule(`--place ${text}`, `one of ${placeKind.options.join(', ')}`, kind));
  }
  for (const text of list(values.around)) {
    const [probe, column] = pair('--around', text, 'jar=air', faults);
    if (probe !== null) options.around[probe] = column;
  }
  for (const text of list(values.volume)) {
    const [probe, amount] = pair('--volume', text, 'jar=0.95L', faults);
    const volumeL = parseVolume(amount);
    if (probe !== null && volumeL !== null && volumeL > 0) options.volumesL[probe] = volumeL;
    else if (probe !== null) faults.push(rule(`--volume ${text}`, 'an amount such as 0.95L', amount));
  }
  options.heightM = one(values.height, parseHeight, { name: '--height', like: '1420m', faults }) ?? 0;
  options.uncertaintyC =
    one(values.uncertainty, parseDifference, { name: '--uncertainty', like: '0.5C', faults }) ?? 0;
  for (const text of list(values.at).flatMap((value) => value.split(','))) {
    const spanMs = parseSpan(text.trim());
    if (spanMs === null) faults.push(rule('--at', 'spans such as 10m,15m,90s', text));
    else options.atSpansMs.push(spanMs);
  }
  options.atSpansMs.sort((a, b) => a - b);
  return faults.length > 0 ? { faults } : { options };
}

const watchLike = {
  chill: { like: '4.44C/60m', range: 'from -5 to 30 °C within 1 min to 24 h' },
  heat: { like: '88C or 88C/3h', range: 'from -5 to 110 °C within 1 min to 24 h' },
  hold: { like: '63C/30m', range: 'from -5 to 110 °C for 1 min to 7 days' },
  keep: { like: '0C..4.44C', range: 'from -60 to 60 °C, the colder limit first' },
} as const;
const watchKinds = Object.keys(watchLike) as (keyof typeof watchLike)[];

function takeWatch(options: ReplayOptions, text: string, faults: string[]): void {
  const match = /^([a-z]+):([^=]+)=(.+)$/.exec(text);
  if (match === null) {
    faults.push(rule('--watch', "of the form 'chill:jar=4.44C/60m'", text));
    return;
  }
  const [, named = '', probe = '', window = ''] = match;
  const kind = watchKinds.find((one) => one === named);
  if (kind === undefined) {
    faults.push(rule(`--watch ${text}`, `one of ${watchKinds.join(', ')}`, named));
    return;
  }
  const asked = askedWatch(kind, probe, window);
  const parsed = word.safeParse(asked);
  if (!plainIdPattern.test(probe)) faults.push(rule(`--watch ${text}`, 'on a probe of the file', probe));
  else if (asked === null) faults.push(rule(`--watch ${text}`, `like ${watchLike[kind].like}`, window));
  else if (asked.kind === 'hold-begin' && faultOfShort(asked) !== null)
    faults.push(rule(`--watch ${text}`, faultOfShort(asked) ?? '', window));
  else if (!parsed.success || isUpsideDown(asked)) {
    faults.push(rule(`--watch ${text}`, watchLike[kind].range, window));
  } else if (options.watches.some((watch) => watch.probe === probe && watch.kind === asked.kind)) {
    faults.push(rule(`--watch ${text}`, `the only ${kind} of its probe`, 'a second one'));
  } else {
    options.watches.push(asked);
    // A heat ends what its probe was watched for before, so it begins first.
    const place = (one: WatchAsked) => (one.kind === 'heat-begin' ? 0 : 1);
    options.watches.sort((a, b) => place(a) - place(b));
  }
}

/** The word that begins such a watch; null where its window cannot be read. */
function askedWatch(kind: keyof typeof watchLike, probe: string, window: string): WatchAsked | null {
  if (kind === 'keep') {
    const [low = '', high = '', ...more] = window.split('..');
    const lowC = parseTemp(low);
    const highC = parseTemp(high);
    return lowC === null || highC === null || more.length > 0
      ? null
      : { kind: 'keep-begin', probe, lowC, highC };
  }
  const [limit = '', span, ...more] = window.split('/');
  const limitC = parseTemp(limit);
  const spanMs = span === undefined ? null : parseSpan(span);
  if (limitC === null || more.length > 0 || (span !== undefined && spanMs === null)) return null;
  if (kind === 'heat') {
    return { kind: 'heat-begin', probe, limitC, ...(spanMs === null ? {} : { spanMs }) };
  }
  if (spanMs === null) return null;
  return kind === 'hold'
    ? { kind: 'hold-begin', probe, hold: { limitC, holdMs: spanMs } }
    : { kind: 'chill-begin', probe, limitC, spanMs };
}

function isUpsideDown(asked: WatchAsked): boolean {
  return asked.kind === 'keep-begin' && (asked.lowC ?? 0) > (asked.highC ?? 0);
}

function faultOfShort({ hold }: Extract<WatchAsked, { kind: 'hold-begin' }>): string | null {
  const refused = refusedHold({ limitC: hold.limitC ?? null, holdMs: hold.holdMs });
  if (refused === null) return null;
  return refused.pair === null
    ? 'a hold of 1 min or more (readings of a probe prove no shorter one)'
    : `a hold of 1 min or more (${refused.pair} is a pair of continuous flow, where every particle has its time; a probe in a pot cannot prove it)`;
}

function list(value: Values[string]): string[] {
  if (value === undefined) return [];
  return (Array.isArray(value) ? value : [value]).map(String);
}

function pair(name: string, text: string, like: string, faults: string[]): [string | null, string] {
  const cut = text.indexOf('=');
  const probe = text.slice(0, Math.max(cut, 0));
  if (plainIdPattern.test(probe)) return [probe, text.slice(cut + 1)];
  faults.push(rule(name, `of the form ${like}`, text));
  return [null, ''];
}

function one(
  value: Values[string],
  parse: (text: string) => number | null,
  to: { name: string; like: string; faults: string[] },
): number | null {
  const text = list(value).at(-1);
  if (text === undefined) return null;
  const parsed = parse(text);
  if (parsed === null) to.faults.push(rule(to.name, `like ${to.like}`, text));
  return parsed;
}

/** A difference of temperatures: 0.9 F is 0.5 °C, with no offset. */
function parseDifference(text: string): number | null {
  const zeroC = parseTemp(`0 ${/f/i.test(text) ? 'F' : 'C'}`);
  const tempC = parseTemp(text);
  return tempC === null || zeroC === null || tempC < zeroC ? null : tempC - zeroC;
}

function rule(what: string, must: string, got: string): string {
  return `REPLAY_OPTION: ${what} must be ${must}, got ${got || 'nothing'}. See springhouse replay --help.`;
}

/** Returns a fault for each option that names a column which the trace does not have. */
export function strangersOf(options: ReplayOptions, columns: readonly string[]): string[] {
  const named: [string, string][] = [
    ...options.watches.map(({ probe }): [string, string] => ['--watch', probe]),
    ...Object.keys(options.places).map((probe): [string, string] => ['--place', probe]),
    ...Object.entries(options.around).flatMap(([probe, column]): [string, string][] => [
      ['--around', probe],
      ['--around', column],
    ]),
    ...Object.keys(options.volumesL).map((probe): [string, string] => ['--volume', probe]),
  ];
  return named
    .filter(([, column]) => !columns.includes(column))
    .map(([option, column]) => rule(option, `a column of ${options.file} (${columns.join(', ')})`, column));
}
