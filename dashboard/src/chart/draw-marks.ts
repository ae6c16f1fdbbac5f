/** What stands on the curve: now, the meeting with the post, the crossing of the target. */

import { type Mapping, stalkEndPx } from './names.ts';
import { disc, fill, type Pen, stroke } from './pen.ts';
import type { Scene } from './scene.ts';

/** Draws all marks of a scene; those outside the plot are left out. */
export function drawMarks(pen: Pen, scene: Scene, map: Mapping): void {
  drawStalks(pen, scene, map);
  drawRing(pen, scene, map);
  drawCrossing(pen, scene, map);
  drawDot(pen, scene, map);
}

function drawRing(pen: Pen, { frame, ring, toMs }: Scene, map: Mapping): void {
  if (ring === null || ring.atMs > toMs || frame.row) return;
  disc(
    pen,
    { x: map.x(ring.atMs), y: map.y(ring.value), radius: 6.5 },
    { colour: pen.palette.paper, edge: { colour: pen.palette.ink, width: 2.5 } },
  );
}

function drawCrossing(pen: Pen, { crossing, frame, target, toMs }: Scene, map: Mapping): void {
  if (crossing === null) return;
  const { ink, paper } = pen.palette;
  const y = map.y(target.value);
  const half = frame.row ? 6 : 8;
  if (crossing.kind === 'forecast' && !frame.row) {
    const ends = [crossing.lowMs, crossing.highMs].filter((atMs) => atMs !== null && atMs <= toMs);
    for (const atMs of ends) {
      const x = map.x(atMs ?? 0);
      stroke(
        pen,
        [
          [x, y - 8],
          [x, y + 8],
        ],
        { colour: ink, width: 3 },
      );
    }
    // An interval without an end runs to the edge of the chart.
    const from = map.x(crossing.lowMs ?? crossing.atMs);
    const to = Math.min(map.plot.right, map.x(crossing.highMs ?? toMs));
    if (to > from)
      stroke(
        pen,
        [
          [from, y],
          [to, y],
        ],
        { colour: ink, width: 3 },
      );
  }
  if (crossing.atMs > toMs) return;
  const x = map.x(crossing.atMs);
  const diamond = [
    [x, y - half],
    [x + half, y],
    [x, y + half],
    [x - half, y],
  ] as const;
  fill(pen, diamond, { colour: ink, edge: { colour: paper, width: 1.5 } });
}

/** A door: a stalk from the top, with a head. */
function drawStalks(pen: Pen, scene: Scene, map: Mapping): void {
  const { ink } = pen.palette;
  const top = map.plot.top;
  const bottom = scene.frame.row ? top + 16 : stalkEndPx(scene, map);
  for (const { fromMs, kind } of scene.notes) {
    const x = map.x(fromMs);
    if (kind !== 'stalk' || x < map.plot.left || x > map.plot.right) continue;
    stroke(
      pen,
      [
        [x, top],
        [x, bottom],
      ],
      { colour: ink, width: 2 },
    );
    fill(
      pen,
      [
        [x - 6, top - 6],
        [x + 6, top - 6],
        [x, top + 2],
      ],
      { colour: ink },
    );
  }
}

function drawDot(pen: Pen, { dot, frame }: Scene, map: Mapping): void {
  if (dot === null) return;
  const at = { x: map.x(dot.atMs), y: map.y(dot.value) };
  const { ink, paper } = pen.palette;
  if (dot.spread !== null) {
    const [low, high] = [map.y(dot.spread.low), map.y(dot.spread.high)];
    stroke(
      pen,
      [
        [at.x, low],
        [at.x, high],
      ],
      { colour: ink, width: 2.5 },
    );
    for (const y of [low, high]) {
      stroke(
        pen,
        [
          [at.x - 6, y],
          [at.x + 6, y],
        ],
        { colour: ink, width: 2.5 },
      );
    }
  }
  if (dot.heard) {
    disc(pen, { ...at, radius: frame.row ? 7 : 9 }, { colour: ink, edge: { colour: paper, width: 3 } });
  } else {
    disc(pen, { ...at, radius: frame.row ? 5.5 : 7 }, { colour: paper, edge: { colour: ink, width: 2.5 } });
  }
}
