import { describe, expect, it } from 'vitest';
import { openImportedRanges } from '../../daemon/imported-ranges.ts';

function notesInMemory() {
  const notes: Record<string, string> = {};
  return {
    meta: () => notes,
    setMeta: (key: string, value: string) => {
      notes[key] = value;
    },
  };
}

describe('the numbers of imported readings', () => {
  it('are stepped over, and no others', () => {
    const notes = notesInMemory();
    const ranges = openImportedRanges(notes, 5);
    ranges.begin(5);
    ranges.end(9);
    expect([3, 4, 5, 8, 9].map(ranges.skipFrom)).toEqual([3, 8, 8, 8, 9]);
    expect([4, 5, 8, 9].map(ranges.has)).toEqual([false, true, true, false]);
    const again = openImportedRanges(notes, 20);
    expect(again.skipFrom(4)).toBe(8);
  });

  it('join where one import follows another, and are none where nothing was kept', () => {
    const ranges = openImportedRanges(notesInMemory(), 1);
    ranges.begin(1);
    ranges.end(4);
    ranges.begin(4);
    ranges.end(4);
    ranges.begin(4);
    ranges.end(6);
    expect(ranges.skipFrom(0)).toBe(5);
  });

  it('end with the last number where an import was cut short', () => {
    const notes = notesInMemory();
    openImportedRanges(notes, 5).begin(5);
    const after = openImportedRanges(notes, 12);
    expect([after.skipFrom(4), after.has(12)]).toEqual([11, false]);
  });
});
