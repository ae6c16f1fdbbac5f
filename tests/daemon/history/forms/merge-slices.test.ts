import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { mergeSlices } from '../../../../daemon/history/forms/merge-slices.ts';

type Row = { atMs: number; stream: number };

async function* slices(rows: readonly Row[], size: number): AsyncGenerator<Row[], void, void> {
  for (let index = 0; index < rows.length; index += size) yield rows.slice(index, index + size);
}

describe('merged streams', () => {
  it('give every row once in order of instants, then of the streams, however they are sliced', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.array(fc.nat(50), { maxLength: 30 }), { maxLength: 5 }),
        fc.integer({ min: 1, max: 7 }),
        async (instants, size) => {
          const streams = instants.map((list, stream) =>
            list.toSorted((a, b) => a - b).map((atMs): Row => ({ atMs, stream })),
          );
          const merged: Row[] = [];
          for await (const slice of mergeSlices(streams.map((rows) => slices(rows, size))))
            merged.push(...slice);
          const expected = streams.flat().toSorted((a, b) => a.atMs - b.atMs || a.stream - b.stream);
          expect(merged).toEqual(expected);
        },
      ),
      { numRuns: 100 },
    );
  });

  it('end every stream where their reader stops', async () => {
    let open = 2;
    async function* endless(): AsyncGenerator<Row[], void, void> {
      try {
        for (let atMs = 0; ; atMs++) yield [{ atMs, stream: 0 }];
      } finally {
        open -= 1;
      }
    }
    for await (const slice of mergeSlices([endless(), endless()])) {
      expect(slice.length).toBeGreaterThan(0);
      break;
    }
    expect(open).toBe(0);
  });
});
