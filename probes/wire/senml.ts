/** SenML (RFC 8428) in JSON: a pack of records becomes readings in °C. */
import type { Refusal, WireReading } from '../source.ts';
import { checkTempC, type Decoded, type Origin, refuse, refused, resolveProbe, shown } from './decoded.ts';

/** The most records taken from one pack: a night at one in ten seconds. A longer pack is refused whole. */
export const recordsMax = 4096;

/** The version of RFC 8428 itself (§4.4): a pack of a later one must not be read. */
const versionMax = 10;

/** Seconds from here on are absolute, under it relative to the receipt (§4.5.3). */
const absoluteFromS = 2 ** 28;

/** 2100-01-01T00:00:00Z: seconds from here on are milliseconds or a fault. */
const absoluteToS = 4_102_444_800;

const kelvinOffset = 273.15;

const baseFields = new Set(['bn', 'bt', 'bu', 'bv', 'bs', 'bver']);

/** Text, truth and bytes (§4.2): a record has only one kind of value, and a temperature is none of these. */
const otherValues = ['vs', 'vb', 'vd'];

/** The base fields in force at a record (§4.1); an absent name is empty, an absent time zero. */
type Base = { bn: string; bt: number; bu: string | undefined; bv: number | undefined };

type SenmlRecord = Readonly<Record<string, unknown>>;

/**
 * Parses a pack into readings, resolved as §4.6 says: base name before name, base time and base value
 * added, base unit where a record has none. The unit must be `Cel`, or `K`, which is converted. A time of
 * 2^28 s or more is the reading's own instant, rounded to ms; one of zero or less counts from the receipt
 * (`ageMs`). A pack that cannot be read as a whole is one refusal, a record that breaks a rule is one of
 * its own; nothing is thrown.
 */
export function parseSenml(text: string, origin: Origin): Decoded {
  const pack = parsePack(text);
  if (typeof pack === 'string') return refused(origin, 'WIRE_GARBLED', pack);
  if (pack.length > recordsMax) {
    const message = `SenML pack must hold ${recordsMax} records at most, got ${pack.length}. Send several packs.`;
    return refused(origin, 'WIRE_LONG', message);
  }
  const decoded: Decoded = { readings: [], refusals: [] };
  const base: Base = { bn: '', bt: 0, bu: undefined, bv: undefined };
  for (const [index, record] of pack.entries()) {
    const fault = takeBase(base, record, index);
    if (fault !== null) return refused(origin, 'WIRE_GARBLED', fault);
    const outcome = resolve(record, base, origin);
    if (outcome === null) continue;
    if ('code' in outcome) decoded.refusals.push(outcome);
    else decoded.readings.push(outcome);
  }
  return decoded;
}

/** Returns the records, or what is wrong with the pack as a whole. */
function parsePack(text: string): SenmlRecord[] | string {
  let pack: unknown;
  try {
    pack = JSON.parse(text);
  } catch {
    return `SenML pack must be JSON, got ${shown(text)}. Send [{"n":"id","u":"Cel","v":4.5}].`;
  }
  if (!Array.isArray(pack) || pack.length === 0) {
    return `SenML pack must be an array with a record in it, got ${shown(text)}. Put the record in brackets.`;
  }
  for (const [index, record] of pack.entries()) {
    if (typeof record !== 'object' || record === null || Array.isArray(record)) {
      return `SenML record ${index} must be an object, got ${shown(record)}. Send {"n":"id","u":"Cel","v":4.5}.`;
    }
  }
  return pack;
}

/** Puts a record's base fields in force; returns what makes the whole pack unreadable, or null. */
function takeBase(base: Base, record: SenmlRecord, index: number): string | null {
  const { bn, bt, bu, bv, bver } = record;
  const wrong = (field: string, rule: string) =>
    `SenML record ${index}: ${field} must be ${rule}, got ${shown(record[field])}. Look at what the sender makes.`;
  if (bn !== undefined && typeof bn !== 'string') return wrong('bn', 'a text');
  if (bu !== undefined && typeof bu !== 'string') return wrong('bu', 'a text');
  if (bt !== undefined && !isNumber(bt)) return wrong('bt', 'a number');
  if (bv !== undefined && !isNumber(bv)) return wrong('bv', 'a number');
  if (bver !== undefined && !(isNumber(bver) && bver <= versionMax)) {
    return wrong('bver', `a number up to ${versionMax}`);
  }
  for (const field of Object.keys(record)) {
    // §4.4: a field whose name ends so must be understood by whoever reads the pack.
    if (field.endsWith('_')) return wrong(field, 'left out, since this reader does not know it');
  }
  if (bn !== undefined) base.bn = bn;
  if (bu !== undefined) base.bu = bu;
  if (bt !== undefined) base.bt = bt;
  if (bv !== undefined) base.bv = bv;
  return null;
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value);
}

/** Returns a record as a reading or its refusal; null where it only carries base fields. */
function resolve(record: SenmlRecord, base: Base, origin: Origin): WireReading | Refusal | null {
  if (Object.keys(record).every((field) => baseFields.has(field))) return null;
  const { n = '', u = base.bu, t = 0 } = record;
  if (typeof n !== 'string') {
    return refuse(origin, 'WIRE_PROBE', `SenML n must be a text, got ${shown(n)}. Send the probe's id.`);
  }
  const resolved = resolveProbe(origin, base.bn + n);
  if ('code' in resolved) return resolved;
  const { probe } = resolved;
  if (u !== 'Cel' && u !== 'K') {
    const message = `unit of probe ${shown(probe)} must be "Cel" or "K", got ${shown(u)}. Send °C as "Cel".`;
    return refuse(origin, 'WIRE_UNIT', message, probe);
  }
  const value = numberIn(record, base);
  if (typeof value === 'string') {
    const message = `SenML value of probe ${shown(probe)} must be one number v, got ${value}. Send "v":4.5.`;
    return refuse(origin, 'WIRE_GARBLED', message, probe);
  }
  const tempC = u === 'K' ? value - kelvinOffset : value;
  const outOfRange = checkTempC(origin, probe, tempC);
  if (outOfRange !== null) return outOfRange;
  if (typeof t !== 'number') {
    const message = `SenML t of probe ${shown(probe)} must be a number of seconds, got ${shown(t)}. Send seconds.`;
    return refuse(origin, 'WIRE_TIME', message, probe);
  }
  return placeInTime({ probe, tempC }, base.bt + t, origin);
}

/** Returns base value + value, an absent one as zero (§4.5.4); or what stands there instead, for the message. */
function numberIn(record: SenmlRecord, base: Base): number | string {
  const { v } = record;
  if (v !== undefined && typeof v !== 'number') return shown(v);
  const others = otherValues.filter((field) => record[field] !== undefined);
  if (others.length > 0) return `the field ${others.join(' and ')}`;
  if (v === undefined && base.bv === undefined) return 'none';
  return (base.bv ?? 0) + (v ?? 0);
}

/** Returns the reading with its instant (§4.5.3), or the refusal of an instant that no reading can have. */
function placeInTime(
  { probe, tempC }: { probe: string; tempC: number },
  timeS: number,
  origin: Origin,
): WireReading | Refusal {
  if (timeS >= absoluteFromS && timeS < absoluteToS) {
    return { probe, tempC, atMs: Math.round(timeS * 1000), undated: false };
  }
  if (timeS === 0) return { probe, tempC, atMs: null, undated: false };
  if (timeS < 0 && timeS > -absoluteFromS) {
    return { probe, tempC, atMs: null, ageMs: Math.round(-timeS * 1000), undated: false };
  }
  const message =
    `SenML time of probe ${shown(probe)} must be seconds since 1970, or zero or less for seconds before now, ` +
    `got ${shown(timeS)}. Send no time where the sensor has no clock.`;
  return refuse(origin, 'WIRE_TIME', message, probe);
}
