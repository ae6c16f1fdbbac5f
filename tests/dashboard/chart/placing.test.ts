import { describe, expect, it } from 'vitest';
import {
  boxOf,
  crosses,
  type Ground,
  overlaps,
  placeNames,
  type Wish,
} from '../../../dashboard/src/chart/placing.ts';

const lettering = { px: 10, bold: false, slanted: false, colour: 'ink' } as const;

const empty: Ground = {
  bounds: { left: 0, top: 0, right: 200, bottom: 100 },
  lines: [],
  edges: [],
  boxes: [],
  widthOf: (words) => words.length * 5,
};

function wish(words: string[], ...at: [number, number][]): Wish {
  return { words, lettering, spots: at.map(([x, y]) => ({ x, y, anchor: 'start' as const })) };
}

function wordsAt(placed: ReturnType<typeof placeNames>) {
  return placed.map(({ words, x, y }) => [words, x, y]);
}

describe('the placing of names', () => {
  it('takes the first spot that is free', () => {
    expect(wordsAt(placeNames([wish(['name'], [10, 20], [10, 60])], empty))).toEqual([['name', 10, 20]]);
  });

  it('goes to the next spot where a line passes through the first', () => {
    const lines = [{ x1: 0, y1: 18, x2: 200, y2: 18 }];
    const placed = placeNames([wish(['name'], [10, 20], [10, 60])], { ...empty, lines });
    expect(wordsAt(placed)).toEqual([['name', 10, 60]]);
  });

  it('shortens the words before it gives the name up', () => {
    const boxes = [{ left: 50, top: 0, right: 60, bottom: 100 }];
    const placed = placeNames([wish(['a long name', 'short'], [10, 20])], { ...empty, boxes });
    expect(wordsAt(placed)).toEqual([['short', 10, 20]]);
  });

  it('leaves out the name that is wanted less where two want one room', () => {
    expect(wordsAt(placeNames([wish(['first'], [10, 20]), wish(['second'], [12, 22])], empty))).toEqual([
      ['first', 10, 20],
    ]);
  });

  it('touches an edge only where no words and no spot keep off it', () => {
    const edges = [{ x1: 0, y1: 18, x2: 200, y2: 18 }];
    expect(wordsAt(placeNames([wish(['name'], [10, 20], [10, 60])], { ...empty, edges }))).toEqual([
      ['name', 10, 60],
    ]);
    expect(wordsAt(placeNames([wish(['name'], [10, 20])], { ...empty, edges }))).toEqual([['name', 10, 20]]);
  });

  it('leaves out a name that would stand over the edge of the chart', () => {
    expect(placeNames([wish(['name'], [190, 20])], empty)).toEqual([]);
  });

  it('reckons the room of words from their baseline and anchor', () => {
    expect(boxOf({ x: 100, y: 50, anchor: 'end' }, 20, 10)).toEqual({
      left: 80,
      top: 42.8,
      right: 100,
      bottom: 52,
    });
    expect(boxOf({ x: 100, y: 50, anchor: 'middle' }, 20, 10)).toMatchObject({ left: 90, right: 110 });
  });

  it('sees a segment that passes through a box without an end in it, and none that passes by', () => {
    const box = { left: 10, top: 10, right: 20, bottom: 20 };
    expect(crosses({ x1: 0, y1: 0, x2: 30, y2: 30 }, box)).toBe(true);
    expect(crosses({ x1: 15, y1: 0, x2: 15, y2: 40 }, box)).toBe(true);
    expect(crosses({ x1: 0, y1: 15, x2: 9, y2: 15 }, box)).toBe(false);
    expect(crosses({ x1: 0, y1: 25, x2: 30, y2: 40 }, box)).toBe(false);
    expect(overlaps(box, { left: 19, top: 19, right: 30, bottom: 30 })).toBe(true);
    expect(overlaps(box, { left: 20, top: 10, right: 30, bottom: 20 })).toBe(false);
  });
});
