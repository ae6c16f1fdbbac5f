import { type PlaceKind, placeKind, plainIdPattern } from '../../shared/contract/ids.ts';
import { word } from '../../shared/contract/word.ts';
import { parseHeight, parseSpan, parseTemp, parseVolume } from '../../shared/units/parse.ts';

/** A watch asked for on the command line: `chill:jar=4.44C/60m`. */
export type ChillAsked = { probe: string; limitC: number; spanMs: number };

/** Everything `replay` was told. */
export type ReplayOptions = {
  file: string;
  watches: ChillAsked[];
  places: Record<string, PlaceKind>;
  around: Record<string, string>;
  volumesL: Record<string, number>;
  heightM: number;
  uncertaintyC: number;
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

function takeWatch(options: ReplayOptions, text: string, faults: string[]): void {
  const match = /^([a-z]+):([^=]+)=(.+)$/.exec(text);
  if (match === null) {
    faults.push(rule('--watch', "of the form 'chill:jar=4.44C/60m'", text));
    return;
  }
  const [, kind = '', probe = '', window = ''] = match;
  if (kind !== 'chill') {
    faults.push(rule(`--watch ${text}`, 'a chill, the one kind of watch that this release has', kind));
    return;
  }
  const [limit = '', span = ''] = window.split('/');
  const limitC = parseTemp(limit);
  const spanMs = parseSpan(span);
  if (!plainIdPattern.test(probe)) faults.push(rule(`--watch ${text}`, 'on a probe of the file', probe));
  else if (limitC === null || spanMs === null) faults.push(rule(`--watch ${text}`, 'like 4.44C/60m', window));
  else if (!word.safeParse({ kind: 'chill-begin', probe, limitC, spanMs }).success) {
    faults.push(rule(`--watch ${text}`, 'from -5 to 30 °C within 1 min to 24 h', window));
  } else if (options.watches.some((watch) => watch.probe === probe)) {
    faults.push(rule(`--watch ${text}`, 'the only chill of its probe', 'a second one'));
  } else options.watches.push({ probe, limitC, spanMs });
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
