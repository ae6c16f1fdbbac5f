import { describe, expect, test } from 'vitest';
import { at, decodeMapped, isPointer, type PointerMapping } from '../../../probes/wire/pointer-mapping.ts';

const celsius: PointerMapping = { probe: 'plum', pointer: '/t', unit: 'C', scale: 1 };
const taken = (tempC: number) => ({
  readings: [{ probe: 'plum', tempC, atMs: null, undated: false }],
  refusals: [],
});

describe('a JSON Pointer', () => {
  // RFC 6901 §5, the whole table.
  const document = {
    foo: ['bar', 'baz'],
    '': 0,
    'a/b': 1,
    'c%d': 2,
    'e^f': 3,
    'g|h': 4,
    'i\\j': 5,
    'k"l': 6,
    ' ': 7,
    'm~n': 8,
  };
  test.each([
    ['', document],
    ['/foo', ['bar', 'baz']],
    ['/foo/0', 'bar'],
    ['/', 0],
    ['/a~1b', 1],
    ['/c%d', 2],
    ['/e^f', 3],
    ['/g|h', 4],
    ['/i\\j', 5],
    ['/k"l', 6],
    ['/ ', 7],
    ['/m~0n', 8],
  ])('%j leads where RFC 6901 says', (pointer, value) => {
    expect(isPointer(pointer)).toBe(true);
    expect(at(document, pointer)).toEqual(value);
  });

  test('undoes ~1 before ~0, so that ~01 is ~1', () => {
    // RFC 6901 §4 warns of the other order.
    expect(at({ '~1': 'right', '/': 'wrong' }, '/~01')).toBe('right');
  });

  test.each(['/foo/2', '/foo/-', '/foo/01', '/foo/length', '/foo/0/x', '/bar', '/toString', '/__proto__'])(
    '%s leads nowhere',
    (pointer) => {
      expect(at(document, pointer)).toBeUndefined();
    },
  );

  test.each(['foo', '#/foo', '/~', '/~2', '/a/~'])('%s is none', (pointer) => {
    expect(isPointer(pointer)).toBe(false);
  });
});

describe('a mapped message', () => {
  test.each([
    ['C', 1, 4.5, 4.5],
    ['C', 0.1, 45, 4.5],
    ['F', 1, 40, 40 / 9],
    ['F', 1, -40, -40],
    ['K', 1, 273.15, 0],
    ['mC', 1, 4437, 4.437],
  ] as const)('is read as %s × %f: %f is %f °C', (unit, scale, value, tempC) => {
    const { readings } = decodeMapped(JSON.stringify({ t: value }), [{ ...celsius, unit, scale }], 'mqtt');
    expect(readings.map((reading) => reading.tempC)).toEqual([expect.closeTo(tempC, 9)]);
  });

  test('may hold its number in quotes, or be the number', () => {
    expect(decodeMapped('{"t":"-4.5"}', [celsius], 'mqtt')).toEqual(taken(-4.5));
    expect(decodeMapped('4.5', [{ ...celsius, pointer: '' }], 'mqtt')).toEqual(taken(4.5));
  });

  test('is read once for each of its mappings, each refused alone', () => {
    const mappings = [celsius, { ...celsius, probe: 'larder', pointer: '/in/0/t' }];
    expect(
      decodeMapped('{"t":4,"in":[{"t":5}]}', mappings, 'mqtt').readings.map(({ tempC }) => tempC),
    ).toEqual([4, 5]);
    expect(decodeMapped('{"t":4}', mappings, 'mqtt')).toEqual({
      ...taken(4),
      refusals: [
        {
          source: 'mqtt',
          probe: 'larder',
          code: 'WIRE_GARBLED',
          message:
            'value of probe "larder" at "/in/0/t" must be a number, got none. ' +
            'Compare the mapping in the house file with what the device sends.',
        },
      ],
    });
  });

  test.each(['{"t":null}', '{"t":"4,5"}', '{"t":""}', '{"t":true}', '{"t":[4]}', '{"t":{"v":4}}'])(
    '%s is refused as no number',
    (text) => {
      expect(decodeMapped(text, [celsius], 'mqtt').refusals.map(({ code }) => code)).toEqual([
        'WIRE_GARBLED',
      ]);
    },
  );

  test('is refused out of range and where it is no JSON', () => {
    expect(decodeMapped('{"t":400}', [celsius], 'mqtt').refusals.map(({ code }) => code)).toEqual([
      'WIRE_RANGE',
    ]);
    expect(decodeMapped('{"t":4', [celsius], 'mqtt')).toEqual({
      readings: [],
      refusals: [
        {
          source: 'mqtt',
          probe: 'plum',
          code: 'WIRE_GARBLED',
          message: 'mapped message must be JSON, got "{\\"t\\":4". Look at what the device sends.',
        },
      ],
    });
  });
});
