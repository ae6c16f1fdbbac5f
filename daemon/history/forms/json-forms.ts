/** Readings as JSON: one object a line (jsonlines.org), or one SenML pack (RFC 8428). */
import type { Encoder } from './encoder.ts';
import { wordsOfFlags } from './form-reading.ts';

/** One object a line: `v`, `at` (RFC 3339), `probe`, `celsius`, `flags` as a list of words. */
export function encodeJsonLines(): Encoder {
  return {
    head: () => '',
    rows: (readings) => {
      let text = '';
      for (const { atMs, probe, tempC, flags } of readings) {
        const words = flags === 0 ? [] : wordsOfFlags(flags).split(' ');
        text += `${JSON.stringify({ v: 1, at: new Date(atMs).toISOString(), probe, celsius: tempC, flags: words })}\n`;
      }
      return text;
    },
    tail: () => '',
  };
}

/**
 * One pack, a record a line, however long: the unit as base unit, the probe as name (RFC 8428 §4.1, §4.2),
 * the time in seconds with its milliseconds. SenML has no place for flags, so they are not in it.
 */
export function encodeSenml(): Encoder {
  let isFirst = true;
  return {
    head: () => '[',
    rows: (readings) => {
      let text = '';
      for (const { atMs, probe, tempC } of readings) {
        const record = { n: probe, t: atMs / 1000, v: tempC };
        text += isFirst ? JSON.stringify({ bu: 'Cel', ...record }) : `,\n${JSON.stringify(record)}`;
        isFirst = false;
      }
      return text;
    },
    // A pack holds at least one record (§4): of no readings there is one without a value, which says nothing.
    tail: () => (isFirst ? '{"bu":"Cel"}]\n' : ']\n'),
  };
}
