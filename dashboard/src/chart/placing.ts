/** Finds room for names on a chart: no name touches a line, the post, a mark or another name. Pure. */

export type Box = { left: number; top: number; right: number; bottom: number };
export type Segment = { x1: number; y1: number; x2: number; y2: number };

/** A place for a name: its baseline, and which end of it stands there. */
export type Spot = { x: number; y: number; anchor: 'start' | 'middle' | 'end' };

export type Lettering = { px: number; bold: boolean; slanted: boolean; colour: 'ink' | 'soft' | 'ice' };

/** A name that wants room: its words from the longest to the shortest, its spots from the best to the worst. */
export type Wish = { words: readonly string[]; spots: readonly Spot[]; lettering: Lettering };

export type Placed = Spot & { words: string; lettering: Lettering; box: Box };

export type Ground = {
  bounds: Box;
  /** Lines that no name may touch. */
  lines: readonly Segment[];
  /** Edges that a name keeps off where it can. */
  edges: readonly Segment[];
  boxes: readonly Box[];
  widthOf: (words: string, lettering: Lettering) => number;
};

/** How far a name keeps from all else, px. */
const clearPx = 4;

/** Places each wish in turn, most wanted first; shortens words that do not fit, then leaves the name out. */
export function placeNames(wishes: readonly Wish[], ground: Ground): Placed[] {
  const placed: Placed[] = [];
  for (const wish of wishes) {
    const found = placeOne(wish, ground, placed);
    if (found !== null) placed.push(found);
  }
  return placed;
}

function placeOne(wish: Wish, ground: Ground, placed: readonly Placed[]): Placed | null {
  for (const edges of [ground.edges, []]) {
    for (const words of wish.words) {
      const width = ground.widthOf(words, wish.lettering);
      for (const spot of wish.spots) {
        const box = boxOf(spot, width, wish.lettering.px);
        if (!isInside(box, ground.bounds)) continue;
        const around = grown(box, clearPx);
        const blocked =
          [...ground.boxes, ...placed.map((one) => one.box)].some((other) => overlaps(around, other)) ||
          [...ground.lines, ...edges].some((segment) => crosses(segment, around));
        if (!blocked) return { ...spot, words, lettering: wish.lettering, box };
      }
    }
  }
  return null;
}

/** The room that words take: capitals and figures reach 0.72 of the size up, tails 0.2 of it down. */
export function boxOf({ anchor, x, y }: Spot, width: number, px: number): Box {
  const left = anchor === 'start' ? x : anchor === 'middle' ? x - width / 2 : x - width;
  return { left, top: y - 0.72 * px, right: left + width, bottom: y + 0.2 * px };
}

function grown(box: Box, by: number): Box {
  return { left: box.left - by, top: box.top - by, right: box.right + by, bottom: box.bottom + by };
}

function isInside(box: Box, bounds: Box): boolean {
  return (
    box.left >= bounds.left &&
    box.right <= bounds.right &&
    box.top >= bounds.top &&
    box.bottom <= bounds.bottom
  );
}

/** Returns true where two boxes share room. */
export function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/** Returns true where a segment passes through a box (Liang and Barsky's clipping, 1984). */
export function crosses({ x1, x2, y1, y2 }: Segment, box: Box): boolean {
  let enter = 0;
  let leave = 1;
  const dx = x2 - x1;
  const dy = y2 - y1;
  const sides: [number, number][] = [
    [-dx, x1 - box.left],
    [dx, box.right - x1],
    [-dy, y1 - box.top],
    [dy, box.bottom - y1],
  ];
  for (const [towards, room] of sides) {
    if (towards === 0) {
      if (room < 0) return false;
    } else if (towards < 0) {
      enter = Math.max(enter, room / towards);
    } else {
      leave = Math.min(leave, room / towards);
    }
  }
  return enter <= leave;
}
