/** The words between the intake and the history: what is offered for keeping, and what became of it. */
import { plainIdPattern } from '../../shared/contract/ids.ts';

/**
 * When a reading was taken: `atMs` is UTC in whole milliseconds as the source gave it; `steadyMs` is the
 * daemon's steady clock in whole milliseconds at receipt, in an era that `openEra` has opened.
 */
export type Stamp = { atMs: number } | { era: number; steadyMs: number };

/** One reading offered for keeping: °C as read, `readingFlags` as the intake knows them, receipt in epoch ms. */
export type IntakeItem = {
  probe: string;
  tempC: number;
  flags: number;
  receivedMs: number;
  stamp: Stamp;
};

/**
 * What became of an offered reading.
 * `stored`: on disk; `atMs` is UTC as the watching sees it, `flags` are those given plus `late` where it was
 * older than the newest dated reading of its probe.
 * `repeat`: this probe already has this value at this absolute instant. `conflict`: it has another value
 * there, `keptC`, which stays. `refused`: it breaks a rule that sending again will not mend.
 */
export type Verdict =
  | { is: 'stored'; inputSeq: number; atMs: number; flags: number }
  | { is: 'repeat' }
  | { is: 'conflict'; keptC: number }
  | { is: 'refused'; code: ReadingFaultCode; message: string };

/** `READING_RULE`: a field breaks its rule; `READING_REJECTED`: the database would not take this one row. */
export type ReadingFaultCode = 'READING_RULE' | 'READING_REJECTED';

/** The coldest and warmest reading that is kept, °C: absolute zero, and hotter than any kitchen; others are refused. */
export const keptTempC = { min: -273.15, max: 2000 } as const;

/** The latest instant that is kept, epoch ms: the last of the year 9999, as far as RFC 3339 can write. */
export const keptInstantMsMax = 253_402_300_799_999;

/**
 * Returns the verdict on an item that breaks a rule of its own fields, null where it keeps them all. The id of a probe
 * that is `known` was looked at before.
 */
export function refuseBroken(item: IntakeItem, known = false): Verdict | null {
  const { probe, tempC, flags, receivedMs, stamp } = item;
  if (!known && !plainIdPattern.test(probe)) return broken(item, 'probe', 'a plain id', probe);
  if (!(tempC >= keptTempC.min && tempC <= keptTempC.max)) {
    return broken(item, 'tempC', `from ${keptTempC.min} to ${keptTempC.max}`, tempC);
  }
  if (!isWhole(flags, 255)) return broken(item, 'flags', 'a whole number from 0 to 255', flags);
  if (!isInstant(receivedMs)) return broken(item, 'receivedMs', instantRule, receivedMs);
  if ('atMs' in stamp) return isInstant(stamp.atMs) ? null : broken(item, 'atMs', instantRule, stamp.atMs);
  return isInstant(stamp.steadyMs) ? null : broken(item, 'steadyMs', instantRule, stamp.steadyMs);
}

/** Returns the verdict on one field of an item that breaks its rule. */
export function broken(item: IntakeItem, field: string, rule: string, found: unknown): Verdict {
  const message = `READING_RULE: ${field} of the reading of ${item.probe} must be ${rule}, got ${found}. Correct its source.`;
  return { is: 'refused', code: 'READING_RULE', message };
}

const instantRule = `whole milliseconds from 0 to ${keptInstantMsMax}`;

function isInstant(value: number): boolean {
  return isWhole(value, keptInstantMsMax);
}

function isWhole(value: number, most: number): boolean {
  return Number.isInteger(value) && value >= 0 && value <= most;
}
