import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { canonicalJson, chainEvent, firstPrev } from '../../../daemon/record/chain.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import { caught } from '../sqlite/caught.ts';
import { stepped } from './open-record.ts';

/** RFC 8785, appendix B: the bits of a double and its JSON. */
const numberSamples: [string, string][] = [
  ['0000000000000000', '0'],
  ['8000000000000000', '0'],
  ['0000000000000001', '5e-324'],
  ['8000000000000001', '-5e-324'],
  ['7fefffffffffffff', '1.7976931348623157e+308'],
  ['ffefffffffffffff', '-1.7976931348623157e+308'],
  ['4340000000000000', '9007199254740992'],
  ['c340000000000000', '-9007199254740992'],
  ['4430000000000000', '295147905179352830000'],
  ['44b52d02c7e14af5', '9.999999999999997e+22'],
  ['44b52d02c7e14af6', '1e+23'],
  ['44b52d02c7e14af7', '1.0000000000000001e+23'],
  ['444b1ae4d6e2ef4e', '999999999999999700000'],
  ['444b1ae4d6e2ef4f', '999999999999999900000'],
  ['444b1ae4d6e2ef50', '1e+21'],
  ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
  ['3eb0c6f7a0b5ed8d', '0.000001'],
  ['41b3de4355555553', '333333333.3333332'],
  ['41b3de4355555554', '333333333.33333325'],
  ['41b3de4355555555', '333333333.3333333'],
  ['41b3de4355555556', '333333333.3333334'],
  ['41b3de4355555557', '333333333.33333343'],
  ['becbf647612f3696', '-0.0000033333333333333333'],
  ['43143ff3c1cb0959', '1424953923781206.2'],
];

describe('the canonical JSON of the record', () => {
  it.each(numberSamples)('writes the double %s as %s (RFC 8785, appendix B)', (bits, json) => {
    expect(canonicalJson(Buffer.from(bits, 'hex').readDoubleBE())).toBe(json);
  });

  it.each(['7fffffffffffffff', '7ff0000000000000'])(
    'refuses the double %s (RFC 8785, appendix B)',
    (bits) => {
      expect(() => canonicalJson(Buffer.from(bits, 'hex').readDoubleBE())).toThrow(/not allowed/);
    },
  );

  it('sorts members by UTF-16 code units (RFC 8785, section 3.2.3)', () => {
    const sample = JSON.parse(`{
      "\\u20ac": "Euro Sign",
      "\\r": "Carriage Return",
      "\\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One",
      "\\ud83d\\ude00": "Emoji: Grinning Face",
      "\\u0080": "Control",
      "\\u00f6": "Latin Small Letter O With Diaeresis"
    }`);
    const values = [...canonicalJson(sample).matchAll(/:"([^"]*)"/g)].map(([, value]) => value);
    expect(values).toEqual([
      'Carriage Return',
      'One',
      'Control',
      'Latin Small Letter O With Diaeresis',
      'Euro Sign',
      'Emoji: Grinning Face',
      'Hebrew Letter Dalet With Dagesh',
    ]);
  });

  it('writes the sample object of RFC 8785 (sections 3.2.2 to 3.2.4), byte for byte', () => {
    const sample = JSON.parse(
      String.raw`{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],
        "string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}`,
    );
    expect(Buffer.from(canonicalJson(sample)).toString('hex')).toBe(
      '7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333' +
        '332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c' +
        '75303030665c6e4127425c225c5c5c5c5c222f227d',
    );
  });
});

describe('the chaining of an event', () => {
  it('numbers it, links it and hashes its canonical text without the hash', () => {
    const { event, json } = chainEvent(stepped(60_000), { recordSeq: 0, hash: firstPrev });
    expect(json).toBe(
      `{"about":{},"atMs":1780000060000,"because":[],"body":{"deltaMs":60000,"known":true},` +
        `"by":{"id":"larkfell","kind":"daemon"},"id":"house:clock-stepped:60000","kind":"clock-stepped",` +
        `"prev":"${'0'.repeat(64)}","recordSeq":1,"v":1}`,
    );
    const hash = createHash('sha256').update(json).digest('hex');
    expect(event).toEqual({ ...stepped(60_000), v: 1, recordSeq: 1, prev: '0'.repeat(64), hash });
    expect(chainEvent(stepped(1), event).event).toMatchObject({ recordSeq: 2, prev: hash });
  });

  it.each<[string, object, RegExp]>([
    ['of an unknown kind', { kind: 'milk-spilled' }, /^EVENT_RULE: the event .* kind: /],
    ['without its body', { body: {} }, /^EVENT_RULE: the event .* body\.deltaMs: .*; body\.known: /],
    [
      'with a number that JSON has not',
      { body: { deltaMs: Number.NaN, known: true } },
      /^EVENT_RULE: .* NaN is not allowed/,
    ],
    [
      'with half a character',
      { by: { kind: 'person', id: '\ud800' } },
      /^EVENT_RULE: .* Lone surrogate is not allowed/,
    ],
  ])('refuses one %s', (_, broken, said) => {
    const happening = { ...stepped(1), ...broken } as Happening;
    const fault = caught(() => chainEvent(happening, { recordSeq: 0, hash: firstPrev }));
    expect([fault.code, fault.message]).toEqual(['EVENT_RULE', expect.stringMatching(said)]);
  });
});
