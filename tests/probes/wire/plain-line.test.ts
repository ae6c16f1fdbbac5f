import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parsePlainLine } from '../../../probes/wire/plain-line.ts';

const origin = { source: 'usb', probe: null };
const parse = (line: string) => parsePlainLine(line, origin);
const taken = (probe: string, tempC: number) => ({
  readings: [{ probe, tempC, atMs: null, undated: false }],
  refusals: [],
});
const refused = (code: string, probe: string | null, message: string) => ({
  readings: [],
  refusals: [{ source: 'usb', probe, code, message }],
});

test.each([
  ['bramble 4.5', 'bramble', 4.5],
  ['  bramble\t-0.50  ', 'bramble', -0.5],
  ['1 2', '1', 2],
  ['jar.1_b-2 +150', 'jar.1_b-2', 150],
  ['plum -60', 'plum', -60],
  ['plum 4.', 'plum', 4],
  ['plum .5', 'plum', 0.5],
  ['plum 0021.0625', 'plum', 21.0625],
])('reads %j', (line, probe, tempC) => {
  expect(parse(line)).toEqual(taken(probe, tempC));
});

test('takes an empty line as nothing', () => {
  for (const line of ['', '  ', '\t']) expect(parse(line)).toEqual({ readings: [], refusals: [] });
});

describe('refuses', () => {
  test.each(['plum', 'plum is 4.5', 'plum=4.5', '4.5 C x'])('%j as no line of two words', (line) => {
    const message = `line must be "id value", got ${JSON.stringify(line)}. Send for example "jar 4.5".`;
    expect(parse(line)).toEqual(refused('WIRE_GARBLED', null, message));
  });

  test.each(['4,5', '4.5C', '0x10', '1e2', '--4', '4.5.6', '°', '1_000'])(
    '"plum %s" as no number',
    (value) => {
      const { readings, refusals } = parse(`plum ${value}`);
      expect(readings).toEqual([]);
      expect(refusals.map(({ probe, code }) => ({ probe, code }))).toEqual([
        { probe: 'plum', code: 'WIRE_GARBLED' },
      ]);
    },
  );

  test.each([
    ['150.01', '150.01'],
    ['-60.01', '-60.01'],
    ['999999999', '999999999'],
    ['nan', 'NaN'],
    ['-Inf', 'NaN'],
    ['INFINITY', 'NaN'],
  ])('"plum %s" as out of range', (value, got) => {
    const message =
      `temperature of probe "plum" must be from -60 to 150 °C, got ${got}. ` +
      'Look at the sensor, its cable and the unit it sends.';
    expect(parse(`plum ${value}`)).toEqual(refused('WIRE_RANGE', 'plum', message));
  });

  test('a value without a probe, and a probe that is no plain id', () => {
    expect(parse('4.5')).toEqual(
      refused('WIRE_PROBE', null, 'probe must be named, got none. Put its id before the value.'),
    );
    expect(parse('plüm 4.5').refusals[0]?.code).toBe('WIRE_PROBE');
    expect(parse(`${'x'.repeat(65)} 4.5`).refusals[0]?.code).toBe('WIRE_PROBE');
    expect(parse(`${'x'.repeat(64)} 4.5`)).toEqual(taken('x'.repeat(64), 4.5));
  });
});

test('takes a bare value where the wire names the probe, and a name that agrees', () => {
  const named = { source: 'mqtt', probe: 'plum' };
  expect(parsePlainLine('4.5', named)).toEqual(taken('plum', 4.5));
  expect(parsePlainLine('plum 4.5', named)).toEqual(taken('plum', 4.5));
  expect(parsePlainLine('bramble 4.5', named).refusals[0]?.code).toBe('WIRE_PROBE');
});

test('reads any text without a throw, into one reading or one refusal', () => {
  const words = fc.array(fc.oneof(fc.string({ unit: 'binary' }), fc.constantFrom('plum', '4.5', 'nan')), {
    maxLength: 4,
  });
  fc.assert(
    fc.property(words, (some) => {
      const { readings, refusals } = parse(some.join(' '));
      expect(readings.length + refusals.length).toBeLessThanOrEqual(1);
      for (const { tempC } of readings) expect(tempC >= -60 && tempC <= 150).toBe(true);
      // Shown to people in one line, whatever was on the wire.
      // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what it looks for
      for (const { message } of refusals) expect(message).not.toMatch(/[\x00-\x1f\x7f]/);
    }),
    { seed: 5, numRuns: 1000 },
  );
});
