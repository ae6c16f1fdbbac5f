import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseSenml, recordsMax } from '../../../probes/wire/senml.ts';

const origin = { source: 'usb', probe: null };
const parse = (pack: unknown) => parseSenml(typeof pack === 'string' ? pack : JSON.stringify(pack), origin);
const reading = (probe: string, tempC: number, atMs: number | null = null) => ({
  probe,
  tempC,
  atMs,
  undated: false,
});
const refusal = (code: string, probe: string | null, message: string) => ({
  source: 'usb',
  probe,
  code,
  message,
});

describe('a pack', () => {
  test('is resolved by its base fields, each in force until another', () => {
    // RFC 8428 §4.5 and §4.6, in the manner of its examples of §5.1.
    const pack = [
      { bn: 'jar-', bt: 1_276_020_076.001, bu: 'Cel', n: 'a', v: 23.5 },
      { n: 'b', t: -5, v: 4 },
      { bn: 'pot', bv: 20, v: 1.5, t: 0.0004 },
      { bv: 0, bt: 1_320_067_464, u: 'K', v: 300 },
    ];
    expect(parse(pack)).toEqual({
      readings: [
        reading('jar-a', 23.5, 1_276_020_076_001),
        reading('jar-b', 4, 1_276_020_071_001),
        reading('pot', 21.5, 1_276_020_076_001),
        reading('pot', 300 - 273.15, 1_320_067_464_000),
      ],
      refusals: [],
    });
  });

  test('may begin with a record of base fields alone, and a base value stands where a value is missing', () => {
    expect(parse([{ bn: 'pot', bu: 'Cel', bv: 60, bver: 10 }, { t: 0 }, { v: 0.5 }])).toEqual({
      readings: [reading('pot', 60), reading('pot', 60.5)],
      refusals: [],
    });
  });

  test('takes fields that it does not know, save those that must be understood', () => {
    expect(parse([{ n: 'pot', u: 'Cel', v: 4, ut: 60, note: 'x' }]).readings).toEqual([reading('pot', 4)]);
    // RFC 8428 §4.4: a field whose name ends in _ must be understood or the pack be an error.
    expect(parse([{ n: 'pot', u: 'Cel', v: 4, secret_: 1 }])).toEqual({
      readings: [],
      refusals: [
        refusal(
          'WIRE_GARBLED',
          null,
          'SenML record 0: secret_ must be left out, since this reader does not know it, got 1. Look at what the sender makes.',
        ),
      ],
    });
  });

  test.each([
    ['{"n":"pot","u":"Cel","v":4}', 'SenML pack must be an array with a record in it, got'],
    ['[]', 'SenML pack must be an array with a record in it, got "[]"'],
    ['[4]', 'SenML record 0 must be an object, got 4'],
    ['[null]', 'SenML record 0 must be an object, got null'],
    ['[[{}]]', 'SenML record 0 must be an object, got an array'],
    ['[{"n":"pot"', 'SenML pack must be JSON, got'],
    ['[{"bn":4}]', 'SenML record 0: bn must be a text, got 4'],
    ['[{"bu":4}]', 'SenML record 0: bu must be a text, got 4'],
    ['[{"bt":"now"}]', 'SenML record 0: bt must be a number, got "now"'],
    ['[{"bt":1e999}]', 'SenML record 0: bt must be a number, got Infinity'],
    ['[{"bv":null}]', 'SenML record 0: bv must be a number, got null'],
    // RFC 8428 §4.4: a pack of a later version must not be used.
    ['[{"bver":11,"n":"pot","u":"Cel","v":4}]', 'SenML record 0: bver must be a number up to 10, got 11'],
    ['[{"n":"pot","u":"Cel","v":4},{"bver":"x"}]', 'SenML record 1: bver must be a number up to 10, got "x"'],
  ])('%s is refused whole', (text, message) => {
    const { readings, refusals } = parse(text);
    expect({ readings, code: refusals.map(({ code }) => code) }).toEqual({
      readings: [],
      code: ['WIRE_GARBLED'],
    });
    expect(refusals[0]?.message.startsWith(message), refusals[0]?.message).toBe(true);
  });

  test('is refused whole where it holds too many records', () => {
    const record = { n: 'pot', u: 'Cel', v: 4 };
    expect(parse(Array.from({ length: recordsMax }, () => record)).readings.length).toBe(recordsMax);
    expect(parse(Array.from({ length: recordsMax + 1 }, () => record))).toEqual({
      readings: [],
      refusals: [
        refusal(
          'WIRE_LONG',
          null,
          'SenML pack must hold 4096 records at most, got 4097. Send several packs.',
        ),
      ],
    });
  });
});

describe('a record', () => {
  test.each([
    [
      { n: 'pot', u: 'Fah', v: 4 },
      'WIRE_UNIT',
      'pot',
      'unit of probe "pot" must be "Cel" or "K", got "Fah". Send °C as "Cel".',
    ],
    [
      { n: 'pot', v: 4 },
      'WIRE_UNIT',
      'pot',
      'unit of probe "pot" must be "Cel" or "K", got none. Send °C as "Cel".',
    ],
    [
      { n: 'pot', u: 'Cel' },
      'WIRE_GARBLED',
      'pot',
      'SenML value of probe "pot" must be one number v, got none. Send "v":4.5.',
    ],
    [
      { n: 'pot', u: 'Cel', v: '4' },
      'WIRE_GARBLED',
      'pot',
      'SenML value of probe "pot" must be one number v, got "4". Send "v":4.5.',
    ],
    [
      { n: 'pot', u: 'Cel', v: 4, vb: true },
      'WIRE_GARBLED',
      'pot',
      'SenML value of probe "pot" must be one number v, got the field vb. Send "v":4.5.',
    ],
    [
      { n: 'pot', u: 'Cel', v: 150.01 },
      'WIRE_RANGE',
      'pot',
      'temperature of probe "pot" must be from -60 to 150 °C, got 150.01. Look at the sensor, its cable and the unit it sends.',
    ],
    [{ u: 'Cel', v: 4 }, 'WIRE_PROBE', null, 'probe must be named, got none. Put its id before the value.'],
    [{ n: 4, u: 'Cel', v: 4 }, 'WIRE_PROBE', null, "SenML n must be a text, got 4. Send the probe's id."],
    [
      { n: 'urn:dev:ow:10e2', u: 'Cel', v: 4 },
      'WIRE_PROBE',
      null,
      'probe must be a letter or digit, then letters, digits, ".", "_" or "-", 64 in all at most, got "urn:dev:ow:10e2". Give the probe such an id.',
    ],
  ])('%j is refused alone', (record, code, probe, message) => {
    const good = { bn: '', bu: '', n: 'jar', u: 'Cel', v: 5 };
    expect(parse([record, good])).toEqual({
      readings: [reading('jar', 5)],
      refusals: [refusal(code, probe, message)],
    });
  });

  test.each([-60, 150])('takes %i °C, the edge of the range', (tempC) => {
    expect(parse([{ n: 'pot', u: 'Cel', v: tempC }]).readings).toEqual([reading('pot', tempC)]);
  });

  test.each(['[{"n":"pot","u":"Cel","v":1e999}]', '[{"n":"pot","u":"Cel","v":-60.001}]'])(
    '%s is out of range',
    (text) => {
      expect(parse(text).refusals.map(({ code }) => code)).toEqual(['WIRE_RANGE']);
    },
  );

  test('names the probe as the wire does, or not at all', () => {
    const named = { source: 'mqtt', probe: 'pot' };
    const text = '[{"u":"Cel","v":4},{"n":"pot","u":"Cel","v":5},{"n":"jar","u":"Cel","v":6}]';
    expect(parseSenml(text, named)).toEqual({
      readings: [reading('pot', 4), reading('pot', 5)],
      refusals: [
        {
          source: 'mqtt',
          probe: 'pot',
          code: 'WIRE_PROBE',
          message:
            'probe must be "pot" as in the topic, got "jar". Send each probe under its own topic, or leave the name out.',
        },
      ],
    });
  });
});

describe('a time', () => {
  const at = (t: unknown) => parse(`[{"n":"pot","u":"Cel","v":4,"t":${t}}]`);
  // RFC 8428 §4.5.3: from 2^28 s on since 1970, below relative to now.
  test.each([
    [2 ** 28, 268_435_456_000],
    [1_764_000_000.1234, 1_764_000_000_123],
    [4_102_444_799.9991, 4_102_444_799_999],
  ])('of %f s is absolute, in whole ms', (t, atMs) => {
    expect(at(t).readings).toEqual([reading('pot', 4, atMs)]);
  });

  test('of nothing is the receipt', () => {
    expect(at(0).readings).toEqual([reading('pot', 4)]);
    expect(at(-0).readings).toEqual([reading('pot', 4)]);
  });

  test('before now is told as an age, not as an instant', () => {
    expect(at(-1.5).readings).toEqual([{ ...reading('pot', 4), ageMs: 1500 }]);
    expect(parse([{ n: 'pot', u: 'Cel', bt: -600, t: 570, v: 4 }]).readings).toEqual([
      { ...reading('pot', 4), ageMs: 30_000 },
    ]);
  });

  test.each([1, 1234.5, 2 ** 28 - 1, 4_102_444_800, 1_764_000_000_000, -(2 ** 28), '1e999'])(
    'of %s s is refused: ahead of now, or milliseconds',
    (t) => {
      expect(at(t).readings).toEqual([]);
      expect(at(t).refusals).toEqual([
        refusal(
          'WIRE_TIME',
          'pot',
          'SenML time of probe "pot" must be seconds since 1970, or zero or less for seconds before now, ' +
            `got ${Number(t)}. Send no time where the sensor has no clock.`,
        ),
      ]);
    },
  );

  test('that is no number is refused', () => {
    expect(at('"now"').refusals).toEqual([
      refusal(
        'WIRE_TIME',
        'pot',
        'SenML t of probe "pot" must be a number of seconds, got "now". Send seconds.',
      ),
    ]);
  });
});

describe('any text', () => {
  const good = JSON.stringify([
    { bn: 'jar-', bt: 1_764_000_000, bu: 'Cel', n: 'a', v: 4.5 },
    { n: 'b', t: 1, v: 5 },
  ]);

  test('that is a pack cut anywhere, or with junk around, gives no reading', () => {
    for (let cut = 0; cut < good.length; cut++) {
      expect(parse(good.slice(0, cut)).readings, `cut at ${cut}`).toEqual([]);
      if (cut > 0) expect(parse(good.slice(cut)).readings, `from ${cut}`).toEqual([]);
    }
    for (const junk of ['x', '4', ']', '{}', '\u0000']) {
      expect(parse(good + junk).readings).toEqual([]);
      expect(parse(junk + good).readings).toEqual([]);
    }
  });

  test('is read without a throw, and every reading keeps the rules', () => {
    const field = fc.constantFrom('bn', 'bt', 'bu', 'bv', 'bver', 'n', 'u', 'v', 't', 'vs', 'x_');
    const value = fc.oneof(
      fc.double(),
      fc.constantFrom('Cel', 'K', 'pot', '', 1e10, -60, 2 ** 28),
      fc.jsonValue({ maxDepth: 2 }),
    );
    const pack = fc.array(fc.dictionary(field, value, { maxKeys: 6 }), { maxLength: 5 });
    fc.assert(
      fc.property(
        fc.oneof(
          pack.map((records) => JSON.stringify(records)),
          fc.string(),
        ),
        (text) => {
          const { readings, refusals } = parse(text);
          for (const { probe, tempC, atMs, ageMs } of readings) {
            expect(probe).toMatch(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/);
            expect(tempC >= -60 && tempC <= 150).toBe(true);
            expect(atMs === null || (Number.isSafeInteger(atMs) && ageMs === undefined)).toBe(true);
            expect(ageMs === undefined || (Number.isSafeInteger(ageMs) && ageMs >= 0)).toBe(true);
          }
          for (const { message } of refusals) expect(message.length).toBeLessThan(400);
        },
      ),
      { seed: 3, numRuns: 2000 },
    );
  });

  test('nested to any depth is refused without a throw', () => {
    const deep = `${'['.repeat(100_000)}${']'.repeat(100_000)}`;
    expect(parse(deep).refusals.map(({ code }) => code)).toEqual(['WIRE_GARBLED']);
    expect(parse(`[{"n":"pot","u":"Cel","v":${deep}}]`).refusals.map(({ code }) => code)).toEqual([
      'WIRE_GARBLED',
    ]);
  });
});
