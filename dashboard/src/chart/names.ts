/** The names that a chart wants, and the lines that they must keep clear of. Pure. */

import type { Box, Lettering, Segment, Spot, Wish } from './placing.ts';
import type { Scene } from './scene.ts';

/** From instants and shown temperatures to CSS pixels of the whole chart. */
export type Mapping = { x: (atMs: number) => number; y: (value: number) => number; plot: Box };

/** The stalk on which the last moment for a remedy stands, px. */
export const stalkPx = 26;

const plain: Lettering = { px: 16, bold: false, slanted: false, colour: 'ink' };
const ice: Lettering = { ...plain, slanted: true, colour: 'ice' };
const key: Lettering = { px: 20, bold: true, slanted: false, colour: 'ink' };

/** Lists the names in the order of their weight: what is dropped first stands last. */
export function nameWishes(scene: Scene, map: Mapping): Wish[] {
  const wishes = [
    postName(scene, map),
    latestName(scene, map),
    crossingName(scene, map),
    rescueCrossingName(scene, map),
    ringName(scene, map),
    dotName(scene, map),
    ...noteNames(scene, map),
    wantedName(scene, map),
    rescueName(scene, map),
    aheadName(scene, map),
    airName(scene, map),
  ];
  return wishes.filter((wish) => wish !== null);
}

/** What went on is named over the plot, at its own head. */
function noteNames(scene: Scene, { plot, x }: Mapping): Wish[] {
  if (scene.frame.row) return [];
  // The last ones matter most; where heads are crowded the older names go.
  return scene.notes.toReversed().map(({ fromMs, kind, names, toMs }): Wish => {
    const middle = x((Math.max(fromMs, scene.fromMs) + Math.min(toMs, scene.toMs)) / 2);
    const y = plot.top - 9;
    return {
      words: names,
      lettering: { ...plain, bold: kind === 'hatch' },
      spots: [
        { x: middle, y, anchor: 'middle' },
        { x: middle - 8, y, anchor: 'start' },
        { x: middle + 8, y, anchor: 'end' },
      ],
    };
  });
}

function airName({ air, frame, toMs }: Scene, map: Mapping): Wish | null {
  const points = air?.runs.flat().filter((point) => point.atMs <= toMs) ?? [];
  if (air === null || frame.row || points.length === 0) return null;
  // At its highest it stands free of the other lines.
  const top = points.reduce((highest, point) => (point.value > highest.value ? point : highest));
  const [x, y] = [map.x(top.atMs), map.y(top.value)];
  const spots: Spot[] = [
    { x: x + 10, y: y + 12, anchor: 'start' },
    { x: x - 10, y: y + 12, anchor: 'end' },
    { x, y: y - 8, anchor: 'middle' },
  ];
  for (const share of [0.06, 0.3, 0.5]) {
    const point = points[Math.round(share * (points.length - 1))];
    if (point !== undefined)
      spots.push({ x: map.x(point.atMs) + 6, y: map.plot.bottom - 12, anchor: 'start' });
  }
  return { words: air.names, lettering: { ...plain, colour: 'soft' }, spots };
}

function postName(scene: Scene, map: Mapping): Wish | null {
  const { frame, window } = scene;
  if (frame.row || window === null || window.names.length === 0) return null;
  const x = map.x(window.toMs);
  const y = map.plot.top - 5;
  return {
    words: window.names,
    lettering: plain,
    spots: [
      { x: x + 9, y, anchor: 'start' },
      { x: x - 9, y, anchor: 'end' },
    ],
  };
}

function crossingName(scene: Scene, map: Mapping): Wish | null {
  const { crossing, frame } = scene;
  if (crossing === null || frame.row || crossing.atMs > scene.toMs) return null;
  const x = map.x(crossing.atMs);
  const y = map.y(scene.target.value) + 27;
  const spots: Spot[] = [{ x, y, anchor: 'middle' }];
  for (const dx of [6, 14]) spots.push({ x: x - dx, y, anchor: 'end' }, { x: x + dx, y, anchor: 'start' });
  for (const dx of [24, 36, 50]) spots.push({ x: x - dx, y, anchor: 'end' });
  spots.push({ x: x + 26, y, anchor: 'start' });
  // Where the ground below is full, the time may stand above the line.
  for (const dx of [10, 20]) spots.push({ x: x + dx, y: y - 41, anchor: 'start' });
  return { words: [crossing.text], lettering: { ...key, slanted: crossing.kind === 'forecast' }, spots };
}

/** The last moment for the remedy, at the head of its stalk. */
function latestName(scene: Scene, map: Mapping): Wish | null {
  const latest = scene.rescue?.latest ?? null;
  if (latest === null || scene.frame.row) return null;
  const x = map.x(latest.atMs);
  const y = map.y(latest.value) - stalkPx;
  return {
    words: latest.names,
    lettering: plain,
    spots: [
      { x: x + 6, y: y + 4, anchor: 'start' },
      { x: x + 6, y: y - 8, anchor: 'start' },
      { x: x - 6, y: y + 4, anchor: 'end' },
      ...[0, 14, 28].map((dx): Spot => ({ x: x + dx, y: y - 8, anchor: 'middle' })),
    ],
  };
}

function rescueCrossingName(scene: Scene, map: Mapping): Wish | null {
  const crossing = scene.rescue?.crossing ?? null;
  if (crossing === null || scene.frame.row || crossing.atMs > scene.toMs) return null;
  const x = map.x(crossing.atMs);
  const y = map.y(scene.target.value) + 27;
  const spots: Spot[] = [{ x, y, anchor: 'middle' }];
  for (const dx of [8, 16, 28])
    spots.push({ x: x - dx, y, anchor: 'end' }, { x: x + dx, y, anchor: 'start' });
  spots.push({ x: x - 14, y: y - 41, anchor: 'end' });
  return { words: [crossing.text], lettering: { ...ice, px: 20, bold: true }, spots };
}

function rescueName(scene: Scene, map: Mapping): Wish | null {
  const { frame, rescue } = scene;
  if (rescue === null || frame.row) return null;
  const spots = [0.16, 0.22, 0.12, 0.3, 0.4].flatMap((share): Spot[] => {
    const point = rescue.line[Math.round(share * (rescue.line.length - 1))];
    if (point === undefined || point.atMs > scene.toMs) return [];
    const [x, y] = [map.x(point.atMs), map.y(point.value)];
    return [
      { x: x - 10, y: y + 14, anchor: 'end' },
      { x: x + 12, y: y + 6, anchor: 'start' },
      { x: x - 10, y: y + 26, anchor: 'end' },
    ];
  });
  return { words: rescue.names, lettering: ice, spots: [...spots, ...risingSpots(scene, map)] };
}

/** A dotted line that rises to the edge has its room over the target, or under itself. */
function risingSpots({ rescue, target }: Scene, map: Mapping): Spot[] {
  const [first, last] = [rescue?.line[0], rescue?.line.at(-1)];
  if (first === undefined || last === undefined || last.value <= first.value) return [];
  const over = map.y(target.value);
  const below = map.y(first.value);
  return [over - 46, over - 30, over - 60, below + 24, below + 44].map((y): Spot => {
    return { x: map.plot.right - 2, y, anchor: 'end' };
  });
}

function ringName(scene: Scene, map: Mapping): Wish | null {
  const { frame, ring } = scene;
  if (ring === null || frame.row) return null;
  const x = map.x(ring.atMs);
  const y = map.y(ring.value);
  return {
    words: [ring.text],
    lettering: { ...key, slanted: ring.forecast },
    spots: [
      { x: x + 14, y: y - 9, anchor: 'start' },
      { x: x + 14, y: y - 18, anchor: 'start' },
      { x: x + 14, y: y - 30, anchor: 'start' },
      { x: x - 14, y: y + 26, anchor: 'end' },
      { x: x - 14, y: y + 36, anchor: 'end' },
      { x: x + 14, y: y + 34, anchor: 'start' },
    ],
  };
}

function dotName(scene: Scene, map: Mapping): Wish | null {
  const { dot, frame } = scene;
  if (dot === null || dot.names.length === 0 || frame.row) return null;
  const x = map.x(dot.atMs);
  const y = map.y(dot.value);
  return {
    words: dot.names,
    lettering: plain,
    spots: [
      { x: x + 14, y: y - 9, anchor: 'start' },
      { x: x + 16, y: y - 20, anchor: 'start' },
      { x: x - 14, y: y + 22, anchor: 'end' },
      { x: x + 14, y: y + 30, anchor: 'start' },
    ],
  };
}

/** What is wanted, in its ground: near the line, else at the ground's far edge. */
function wantedName({ frame, target }: Scene, { plot, y }: Mapping): Wish {
  const line = y(target.value);
  const near = target.side === 'under' ? line + (frame.row ? 18 : 26) : line - 10;
  const far = target.side === 'under' ? plot.bottom - 9 : plot.top + 20;
  const left = plot.left + 8;
  const right = plot.right - 8;
  return {
    words: target.wanted,
    lettering: plain,
    spots: [near, far].flatMap((at): Spot[] => [
      { x: left, y: at, anchor: 'start' },
      { x: right, y: at, anchor: 'end' },
      { x: (left + right) / 2, y: at, anchor: 'middle' },
    ]),
  };
}

function aheadName(scene: Scene, map: Mapping): Wish | null {
  const { ahead, aheadNames, frame } = scene;
  if (frame.row || ahead.length < 2) return null;
  const at = (share: number) => ahead[Math.round(share * (ahead.length - 1))];
  const over = (share: number, lift: number): Spot[] => {
    const point = at(share);
    return point ? [{ x: map.x(point.atMs) + 4, y: map.y(point.high) - lift, anchor: 'start' }] : [];
  };
  const under = (share: number, drop: number): Spot[] => {
    const point = at(share);
    return point ? [{ x: map.x(point.atMs) - 6, y: map.y(point.low) + drop, anchor: 'end' }] : [];
  };
  const spots = [
    ...[0.66, 0.58, 0.74, 0.5, 0.82].flatMap((share) => [over(share, 14), over(share, 20)]),
    ...[0.34, 0.26, 0.2, 0.42].flatMap((share) => [under(share, 24), under(share, 36)]),
    ...[0.42, 0.34, 0.26].flatMap((share) => [over(share, 14), over(share, 24)]),
  ].flat();
  // In the wanted ground it would name that ground.
  const line = map.y(scene.target.value) - 8;
  return {
    words: aheadNames,
    lettering: { ...plain, slanted: true },
    spots: spots.filter((spot) => spot.y < line),
  };
}

/** The lines of a scene as segments: `lines` must never be touched, `edges` where it can be helped. */
export function sceneLines(scene: Scene, map: Mapping): { lines: Segment[]; edges: Segment[] } {
  const { ahead, air, frame, rescue, seen, target, window } = scene;
  const lines: Segment[] = [];
  const edges: Segment[] = [];
  for (const run of [...seen, ...(air?.runs ?? [])])
    joinUp(
      run.map(({ atMs, value }) => [map.x(atMs), map.y(value)]),
      lines,
    );
  joinUp(
    ahead.map(({ atMs, mid }) => [map.x(atMs), map.y(mid)]),
    lines,
  );
  joinUp(
    ahead.map(({ atMs, low }) => [map.x(atMs), map.y(low)]),
    edges,
  );
  joinUp(
    ahead.map(({ atMs, high }) => [map.x(atMs), map.y(high)]),
    edges,
  );
  joinUp(
    (rescue?.line ?? []).map(({ atMs, value }) => [map.x(atMs), map.y(value)]),
    lines,
  );
  if (window !== null) {
    const post = map.x(window.toMs);
    const head = frame.row ? map.plot.top : map.plot.top - 16;
    lines.push({ x1: post, y1: head, x2: post, y2: map.plot.bottom });
  }
  for (const { fromMs, kind } of scene.notes) {
    const x = map.x(fromMs);
    if (kind === 'stalk' && x > map.plot.left)
      lines.push({ x1: x, y1: map.plot.top, x2: x, y2: stalkEndPx(scene, map) });
  }
  const at = map.y(target.value);
  lines.push({ x1: map.plot.left, y1: at, x2: map.plot.right, y2: at });
  return { lines, edges };
}

/** How far down the stalk of a door reaches, px. */
export function stalkEndPx({ high, target }: Scene, { plot, y }: Mapping): number {
  return target.value >= high ? plot.top + 20 : Math.max(plot.top + 20, y(target.value) - 40);
}

function joinUp(points: readonly (readonly [number, number])[], into: Segment[]): void {
  for (const [index, [x2, y2]] of points.entries()) {
    const before = points[index - 1];
    if (before !== undefined) into.push({ x1: before[0], y1: before[1], x2, y2 });
  }
}

/** The marks of a scene as boxes that no name may cover. */
export function sceneMarks(scene: Scene, map: Mapping): Box[] {
  const { crossing, dot, rescue, ring, target } = scene;
  const boxes: Box[] = [];
  if (dot !== null) boxes.push(around(map.x(dot.atMs), map.y(dot.value), 10));
  if (ring !== null) boxes.push(around(map.x(ring.atMs), map.y(ring.value), 8));
  if (crossing !== null) boxes.push(around(map.x(crossing.atMs), map.y(target.value), 8));
  if (rescue?.crossing) boxes.push(around(map.x(rescue.crossing.atMs), map.y(target.value), 8));
  if (rescue?.latest) boxes.push(around(map.x(rescue.latest.atMs), map.y(rescue.latest.value), 8));
  return boxes;
}

function around(x: number, y: number, by: number): Box {
  return { left: x - by, top: y - by, right: x + by, bottom: y + by };
}
