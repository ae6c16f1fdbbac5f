/** The quantities that stand in a scenario's lines, by the name that the forms give them. */
import { noticeCodes } from '../../../shared/contract/event.ts';
import { rescueKind } from '../../../shared/contract/forecast.ts';
import { material, placeKind, plainIdPattern } from '../../../shared/contract/ids.ts';
import { keepCause } from '../../../shared/contract/keep.ts';
import { parseSpan, parseTemp, parseTempDiff, parseVolume } from '../../../shared/units/parse.ts';

/** How a quantity is read: `must` completes the sentence "… must be …" of a fault. */
type Quantity = { must: string; parse: (text: string) => string | number | null };

const clockPattern = /^(\d{1,2}):(\d{2})(?::(\d{2}))?$/;
const hoursMax = 71;

/** Reads `6:40` or `6:40:15` to ms since the scenario's first midnight; `25:10` is ten past one of the next day. */
export function parseClock(text: string): number | null {
  const match = clockPattern.exec(text);
  if (match === null) return null;
  const [hours, minutes, seconds] = match.slice(1).map((digits) => Number(digits ?? 0)) as [
    number,
    number,
    number,
  ];
  if (hours > hoursMax || minutes > 59 || seconds > 59) return null;
  return ((hours * 60 + minutes) * 60 + seconds) * 1000;
}

/** Writes ms since the scenario's first midnight as `6:40`, with seconds where they are not 0. */
export function formatWall(wallMs: number): string {
  const whole = Math.round(wallMs / 1000);
  const two = (count: number) => String(count).padStart(2, '0');
  const [hours, minutes, seconds] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  return `${hours}:${two(minutes)}${seconds === 0 ? '' : `:${two(seconds)}`}`;
}

function parsePlaceKind(text: string): string | null {
  const parsed = placeKind.safeParse(text.replace(/ /g, '-'));
  return parsed.success ? parsed.data : null;
}

function parsePlainId(text: string): string | null {
  const dashed = text.replace(/ /g, '-');
  return plainIdPattern.test(dashed) ? dashed : null;
}

const oneOf = (choices: readonly string[]) => (text: string) => (choices.includes(text) ? text : null);

const reasons: readonly string[] = [
  'taken-out',
  'moved',
  'word',
  'cold-enough',
  'too-long',
  'new-milk',
  ...keepCause.options,
];

const positive = (parse: (text: string) => number | null) => (text: string) => {
  const value = parse(text);
  return value === null || value <= 0 ? null : value;
};

/** Every quantity by the name under which forms hold a place for it. */
export const quantities: Readonly<Record<string, Quantity>> = {
  TIME: { must: 'a time of day such as 6:40 or 6:40:15', parse: parseClock },
  TEMP: { must: 'a temperature such as 36 C or 40 F', parse: parseTemp },
  DIFF: {
    must: 'a difference of temperatures above 0 such as 0.2 C',
    parse: positive(parseTempDiff),
  },
  SPAN: { must: 'a span of time above 0 such as 9 min, 30 s or 1 h', parse: positive(parseSpan) },
  VOLUME: { must: 'an amount such as 0.95 L or 1 qt', parse: parseVolume },
  MATERIAL: { must: `one of ${material.options.join(', ')}`, parse: oneOf(material.options) },
  KIND: { must: `one of ${placeKind.options.join(', ')}`, parse: parsePlaceKind },
  PROBE: { must: 'the name of a probe: letters, digits, dot and dash', parse: parsePlainId },
  PLACE: { must: 'the name of a place: letters, digits, dot and dash', parse: parsePlainId },
  RESCUE: { must: `one of ${rescueKind.options.join(', ')}`, parse: oneOf(rescueKind.options) },
  CODE: { must: `one of ${noticeCodes.join(', ')}`, parse: oneOf(noticeCodes) },
  REASON: { must: `one of ${reasons.join(', ')}`, parse: oneOf(reasons) },
  NUMBER: {
    must: 'a whole number from 0 to 999999',
    parse: (text) => (/^\d{1,6}$/.test(text) ? Number(text) : null),
  },
  SAYING: { must: 'what is said', parse: (text) => text },
  TEXT: { must: 'words in straight double quotes', parse: (text) => (/^[^"]+$/.test(text) ? text : null) },
};
