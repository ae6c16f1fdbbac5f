/** The way out on a chart: dots to where it meets the target, and the last moment at which it still helps. */

import { type Mapping, stalkPx } from './names.ts';
import { fill, type Pen, stroke } from './pen.ts';
import type { Scene } from './scene.ts';

/** Draws the offered rescue of a scene; nothing where there is none. */
export function drawRescue(pen: Pen, scene: Scene, map: Mapping): void {
  const { frame, rescue, target, toMs } = scene;
  if (rescue === null) return;
  const { ice, ink, paper } = pen.palette;
  drawDots(pen, scene, map);
  const y = map.y(target.value);
  const { crossing, latest } = rescue;
  if (crossing !== null && crossing.atMs <= toMs) {
    const half = frame.row ? 5 : 8;
    if (!frame.row) {
      for (const atMs of [crossing.lowMs, crossing.highMs]) {
        if (atMs !== null && atMs <= toMs)
          upright(pen, { x: map.x(atMs), from: y - 7, to: y + 7, colour: ice });
      }
    }
    fill(pen, diamond(map.x(crossing.atMs), y, half), { colour: ice, edge: { colour: paper, width: 1.5 } });
  }
  if (latest !== null && !frame.row) {
    const [x, at] = [map.x(latest.atMs), map.y(latest.value)];
    upright(pen, { x, from: at - stalkPx, to: at, colour: ink });
    fill(pen, diamond(x, at, 8), { colour: ink, edge: { colour: paper, width: 1.5 } });
  }
}

/** Round dots of 4 px, 8 px apart, inside the plot. */
function drawDots({ ctx, palette }: Pen, { frame, rescue }: Scene, map: Mapping): void {
  const { left, right, top, bottom } = map.plot;
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top, right - left, bottom - top);
  ctx.clip();
  ctx.beginPath();
  for (const { atMs, value } of rescue?.line ?? []) ctx.lineTo(map.x(atMs), map.y(value));
  ctx.strokeStyle = palette.ice;
  ctx.lineWidth = frame.row ? 3 : 4;
  ctx.lineCap = 'round';
  ctx.setLineDash([0.01, frame.row ? 6 : 8]);
  ctx.stroke();
  ctx.restore();
}

function upright(
  pen: Pen,
  { colour, from, to, x }: { x: number; from: number; to: number; colour: string },
): void {
  stroke(
    pen,
    [
      [x, from],
      [x, to],
    ],
    { colour, width: 2.5 },
  );
}

function diamond(x: number, y: number, half: number): [number, number][] {
  return [
    [x, y - half],
    [x + half, y],
    [x, y + half],
    [x - half, y],
  ];
}
