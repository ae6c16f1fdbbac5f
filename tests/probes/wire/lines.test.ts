import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createLineSplitter, type Line, lineBytesMax } from '../../../probes/wire/lines.ts';

const bytesOf = (text: string) => new TextEncoder().encode(text);

function split(...chunks: Uint8Array[]): Line[] {
  const splitter = createLineSplitter();
  return chunks.flatMap((chunk) => splitter.push(chunk));
}

const tooLong = {
  code: 'WIRE_LONG',
  message: "line must be 16384 bytes at most, got more. Compare the baud rate with the sensor's.",
};
const garbled = (got: string) => ({
  code: 'WIRE_GARBLED',
  message: `line must be UTF-8 text, got ${got}. Compare the baud rate with the sensor's, and look at the cable.`,
});

describe('a line splitter', () => {
  test('gives the same lines wherever the stream is cut', () => {
    const stream = bytesOf('bramble 4.5\r\n[{"n":"sorrel","u":"Cel","v":4}]\n\n  teäsel\t5 \r\n');
    const whole = split(stream);
    expect(whole).toEqual([
      { text: 'bramble 4.5', isFirst: true },
      { text: '[{"n":"sorrel","u":"Cel","v":4}]', isFirst: false },
      { text: 'teäsel\t5', isFirst: false },
    ]);
    for (let cut = 0; cut <= stream.length; cut++) {
      expect(split(stream.subarray(0, cut), stream.subarray(cut)), `cut at ${cut}`).toEqual(whole);
    }
    expect(split(...[...stream].map((byte) => Uint8Array.of(byte)))).toEqual(whole);
  });

  test('keeps a partial line until its end comes, and gives none that has no end', () => {
    const splitter = createLineSplitter();
    expect(splitter.push(bytesOf('plum 1'))).toEqual([]);
    expect(splitter.push(bytesOf('0.5'))).toEqual([]);
    expect(splitter.push(bytesOf('\nplum'))).toEqual([{ text: 'plum 10.5', isFirst: true }]);
  });

  test('refuses a line over the limit once, and takes the next', () => {
    const exact = 'x'.repeat(lineBytesMax);
    expect(split(bytesOf(`${exact}\n`))).toEqual([{ text: exact, isFirst: true }]);
    expect(split(bytesOf(`${exact}x\nplum 4\n`))).toEqual([tooLong, { text: 'plum 4', isFirst: false }]);
    expect(split(bytesOf(exact), bytesOf('x'), bytesOf(exact), bytesOf('\nplum 4\n'))).toEqual([
      tooLong,
      { text: 'plum 4', isFirst: false },
    ]);
  });

  test('refuses bytes that are no UTF-8 and control bytes, and takes the lines around them', () => {
    const broken = Uint8Array.of(...bytesOf('plum 4\nplum '), 0xff, 0xfe, ...bytesOf('\nplum 5\n'));
    expect(split(broken)).toEqual([
      { text: 'plum 4', isFirst: true },
      garbled('other bytes'),
      { text: 'plum 5', isFirst: false },
    ]);
    expect(split(bytesOf('plum\u00004\nplum 5\rplum 6\nplum 7\n'))).toEqual([
      garbled('control bytes'),
      garbled('control bytes'),
      { text: 'plum 7', isFirst: false },
    ]);
  });

  test('finds a good line after any noise that ends, in any chunks', () => {
    const noise = fc.uint8Array({ maxLength: 60 });
    const cuts = fc.array(fc.nat(100), { maxLength: 5 });
    fc.assert(
      fc.property(noise, cuts, (bytes, at) => {
        const stream = Uint8Array.of(...bytes, ...bytesOf('\nplum 4.5\n'));
        const edges = [0, ...at.map((cut) => cut % stream.length).sort((a, b) => a - b), stream.length];
        const chunks = edges.slice(1).map((end, i) => stream.subarray(edges[i], end));
        expect(split(...chunks).at(-1)).toEqual({ text: 'plum 4.5', isFirst: false });
      }),
      { seed: 7, numRuns: 300 },
    );
  });
});
