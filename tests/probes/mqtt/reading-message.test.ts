import { describe, expect, test } from 'vitest';
import {
  decodeReadingMessage,
  payloadBytesMax,
  type ReadingMessage,
  readingTopic,
} from '../../../probes/mqtt/reading-message.ts';

const atMs = 1_764_000_000_000;
const stamped = JSON.stringify([{ u: 'Cel', v: 4.5, t: atMs / 1000 }]);
const reading = { probe: 'plum', tempC: 4.5, atMs: null, undated: false };

function decode(payload: string | Uint8Array, more: Partial<ReadingMessage> = {}) {
  return decodeReadingMessage({
    topic: readingTopic('larkfell', 'plum'),
    payload: typeof payload === 'string' ? new TextEncoder().encode(payload) : payload,
    ...{ retain: false, dup: false, resumed: false, source: 'broker', house: 'larkfell' },
    ...more,
  });
}
const outcome = (payload: string | Uint8Array, more: Partial<ReadingMessage> = {}) => {
  const { readings, refusals } = decode(payload, more);
  return [...readings.map(({ tempC }) => tempC), ...refusals.map(({ code }) => code)];
};

describe('a payload', () => {
  test.each(['4.5', ' 4.5\n', 'plum 4.5', '[{"u":"Cel","v":4.5}]', ' [{"n":"plum","u":"Cel","v":4.5}] '])(
    '%j is a reading of the topic’s probe',
    (payload) => {
      expect(decode(payload)).toEqual({ readings: [reading], refusals: [] });
    },
  );

  test('that is empty clears a retained message, and is nothing', () => {
    expect(decode('')).toEqual({ readings: [], refusals: [] });
    expect(decode('', { retain: true })).toEqual({ readings: [], refusals: [] });
  });

  test('of another probe is refused', () => {
    expect(outcome('bramble 4.5')).toEqual(['WIRE_PROBE']);
    expect(outcome('[{"n":"bramble","u":"Cel","v":4.5}]')).toEqual(['WIRE_PROBE']);
  });

  test('that is no text, too long, or an object is refused', () => {
    expect(decode(Uint8Array.of(0x34, 0xff))).toEqual({
      readings: [],
      refusals: [
        {
          source: 'broker',
          probe: 'plum',
          code: 'WIRE_GARBLED',
          message:
            'message on "springhouse/larkfell/reading/plum" must be UTF-8 text, got other bytes. Send text.',
        },
      ],
    });
    expect(outcome(new Uint8Array(payloadBytesMax + 1).fill(0x20))).toEqual(['WIRE_LONG']);
    expect(outcome(`4.5${' '.repeat(payloadBytesMax - 3)}`)).toEqual([4.5]);
    expect(outcome('{"temperature":4.5}')).toEqual(['WIRE_GARBLED']);
  });
});

describe('a topic', () => {
  test.each([
    'springhouse/larkfell/reading',
    'springhouse/larkfell/reading/',
    'springhouse/larkfell/reading/plum/x',
    'springhouse/larkfell/reading/pl um',
    'springhouse/elsewhere/reading/plum',
    'larder/fridge',
  ])('%s is refused', (topic) => {
    expect(decode('4.5', { topic }).refusals).toEqual([
      {
        source: 'broker',
        probe: null,
        code: 'WIRE_PROBE',
        message:
          'topic must be "springhouse/larkfell/reading/<probe>" or one that the house file maps, ' +
          `got ${JSON.stringify(topic)}. Publish there, or map this topic.`,
      },
    ]);
  });

  test('that is mapped is read by its mappings alone', () => {
    const mapping = { topic: 'larder/fridge', probe: 'larder', pointer: '/t', unit: 'C', scale: 1 } as const;
    const mappings = [mapping, { ...mapping, topic: 'larder/door' }];
    expect(decode('{"t":4}', { topic: 'larder/fridge', mappings }).readings).toEqual([
      { probe: 'larder', tempC: 4, atMs: null, undated: false },
    ]);
  });
});

describe('a delivery', () => {
  test('that may be late leaves an unstamped reading undated, and a stamped one as it is', () => {
    for (const late of [{ dup: true }, { resumed: true }, { dup: true, resumed: true }]) {
      expect(decode('4.5', late)).toEqual({ readings: [{ ...reading, undated: true }], refusals: [] });
      expect(decode(stamped, late)).toEqual({ readings: [{ ...reading, atMs }], refusals: [] });
    }
  });

  test('that leaves a relative time is undated too, since the age counts from its sending', () => {
    const relative = '[{"u":"Cel","v":4.5,"t":-10}]';
    expect(decode(relative).readings).toEqual([{ ...reading, ageMs: 10_000 }]);
    expect(decode(relative, { dup: true }).readings).toEqual([{ ...reading, ageMs: 10_000, undated: true }]);
  });

  test('from the broker’s store is refused without a stamp and taken with one', () => {
    expect(decode('4.5', { retain: true })).toEqual({
      readings: [],
      refusals: [
        {
          source: 'broker',
          probe: 'plum',
          code: 'WIRE_RETAINED',
          message:
            'retained message of probe "plum" must carry an absolute time, got none. ' +
            'Publish readings without the retain flag, or as SenML with a time.',
        },
      ],
    });
    expect(decode(stamped, { retain: true })).toEqual({ readings: [{ ...reading, atMs }], refusals: [] });
  });
});
