import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  createPubackFilter,
  createPublishCutter,
  headerAt,
  pubacksFor,
} from '../../../probes/mqtt/frames.ts';

const publish = (bodyBytes: number) => packet(0x32, bodyBytes);
const pingresp = Uint8Array.of(0xd0, 0);

function packet(first: number, bodyBytes: number): Uint8Array {
  const length = [];
  for (let rest = bodyBytes; ; rest = Math.floor(rest / 128)) {
    length.push(rest < 128 ? rest : (rest % 128) | 0x80);
    if (rest < 128) break;
  }
  return Buffer.concat([Uint8Array.of(first, ...length), Buffer.alloc(bodyBytes, 'kept exactly')]);
}

function run<T>(
  filter: (bytes: Uint8Array) => T[] | 'malformed',
  chunks: Uint8Array[],
): number[] | 'malformed' {
  const pieces = [];
  for (const chunk of chunks) {
    const got = filter(chunk);
    if (got === 'malformed') return 'malformed';
    pieces.push(...got);
  }
  return [...Buffer.concat(pieces as Uint8Array[])];
}

/** Cuts a stream at up to five places. */
function cutAt(stream: Uint8Array, cuts: number[]): Uint8Array[] {
  const edges = [0, ...cuts.map((cut) => cut % stream.length).sort((a, b) => a - b), stream.length];
  return edges.slice(1).map((end, i) => stream.subarray(edges[i], end));
}

describe('a fixed header', () => {
  // OASIS MQTT 3.1.1, table 2.4: the sizes at which the length takes one byte more.
  test.each([
    [0, 2],
    [127, 2],
    [128, 3],
    [16_383, 3],
    [16_384, 4],
    [2_097_151, 4],
  ])('reads a body of %i bytes after %i of header', (bodyBytes, headerBytes) => {
    const bytes = packet(0x30, bodyBytes);
    expect(headerAt(bytes, 0)).toEqual({ first: 0x30, headerBytes, bodyBytes });
    for (let size = 0; size < headerBytes; size++) expect(headerAt(bytes.subarray(0, size), 0)).toBeNull();
  });

  test('reads the longest length and refuses a longer one', () => {
    const longest = Uint8Array.of(0x30, 0xff, 0xff, 0xff, 0x7f);
    expect(headerAt(longest, 0)).toEqual({ first: 0x30, headerBytes: 5, bodyBytes: 268_435_455 });
    expect(headerAt(Uint8Array.of(0x30, 0xff, 0xff, 0xff, 0xff), 0)).toBe('malformed');
  });
});

describe('the PUBACK filter', () => {
  const written = [
    Uint8Array.of(0xc0, 0),
    Uint8Array.of(0x40, 2, 0, 7),
    packet(0x82, 200),
    Uint8Array.of(0x40, 4, 0, 8, 0, 0),
  ];

  test('lets all but PUBACK out, wherever the writing is cut', () => {
    const stream = Buffer.concat(written);
    const expected = [0xc0, 0, ...(written[2] ?? [])];
    expect(run(createPubackFilter(), [stream])).toEqual(expected);
    for (let cut = 0; cut < stream.length; cut++) {
      expect(run(createPubackFilter(), cutAt(stream, [cut])), `cut at ${cut}`).toEqual(expected);
    }
  });

  test('gives whole packets only', () => {
    const filter = createPubackFilter();
    expect(filter(Uint8Array.of(0xe0))).toEqual([]);
    expect(filter(Uint8Array.of(0, 0x40)).map((bytes) => [...bytes])).toEqual([[0xe0, 0]]);
  });
});

describe('the PUBLISH cutter', () => {
  const bodyBytesMax = 300;
  const whole = [publish(300), pingresp, publish(0), publish(127)];

  test('passes what is short enough as it came', () => {
    const stream = Buffer.concat(whole);
    for (let cut = 0; cut < stream.length; cut++) {
      expect(run(createPublishCutter(bodyBytesMax), cutAt(stream, [cut]))).toEqual([...stream]);
    }
    expect(createPublishCutter(bodyBytesMax)(stream)).toEqual([stream]);
  });

  test('cuts a longer PUBLISH to the limit and finds the packet after it', () => {
    const long = publish(1000);
    const stream = Buffer.concat([pingresp, long, publish(5), publish(301), pingresp]);
    const expected = [
      ...pingresp,
      ...[0x32, 0xac, 0x02, ...long.subarray(3, 303)],
      ...publish(5),
      ...[0x32, 0xac, 0x02, ...publish(301).subarray(3, 303)],
      ...pingresp,
    ];
    for (let cut = 0; cut < stream.length; cut++) {
      expect(run(createPublishCutter(bodyBytesMax), cutAt(stream, [cut])), `cut at ${cut}`).toEqual(expected);
    }
    fc.assert(
      fc.property(fc.array(fc.nat(2000), { maxLength: 6 }), (cuts) => {
        expect(run(createPublishCutter(bodyBytesMax), cutAt(stream, cuts))).toEqual(expected);
      }),
      { seed: 11, numRuns: 200 },
    );
  });

  test('gives up on a long packet of another type and on a length that is none', () => {
    expect(run(createPublishCutter(bodyBytesMax), [packet(0x20, 301)])).toBe('malformed');
    expect(run(createPublishCutter(bodyBytesMax), [Uint8Array.of(0x30, 0xff, 0xff, 0xff, 0xff)])).toBe(
      'malformed',
    );
  });
});

test('PUBACKs say success for each id in order', () => {
  // OASIS MQTT 3.1.1 §3.4: 0x40, length 2, packet id; MQTT 5.0 §3.4.2.1: a missing reason code is success.
  expect([...pubacksFor([1, 65_535])]).toEqual([0x40, 2, 0, 1, 0x40, 2, 0xff, 0xff]);
});
