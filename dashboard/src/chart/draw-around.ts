/** What stands round the curve of a keep: the air as a thin line, and spans that are hatched. */

import type { Mapping } from './names.ts';
import { type Pen, stroke } from './pen.ts';
import type { Scene } from './scene.ts';

/** Draws the thin line of the air; nothing where none is known. */
export function drawAir(pen: Pen, { air }: Scene, map: Mapping): void {
  if (air === null) return;
  inPlot(pen, map, () => {
    for (const run of air.runs) {
      stroke(
        pen,
        run.map(({ atMs, value }) => [map.x(atMs), map.y(value)]),
        { colour: pen.palette.soft, width: 1.4 },
      );
    }
  });
}

/** How far apart the lines of a hatch stand, px. */
const hatchPx = 9;

/** Hatches what lasted: a power cut, a door ajar. */
export function drawHatches(pen: Pen, scene: Scene, map: Mapping): void {
  const { top, bottom, left: edge, right: end } = map.plot;
  for (const { fromMs, kind, toMs } of scene.notes) {
    const left = Math.max(edge, map.x(fromMs));
    const right = Math.min(end, map.x(toMs));
    if (kind !== 'hatch' || right <= left) continue;
    const { ctx } = pen;
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, top, right - left, bottom - top);
    ctx.clip();
    ctx.globalAlpha = 0.5;
    const tall = bottom - top;
    // Hatches keep to one grid of the chart, so that two that touch look like one.
    const first = Math.floor((left - tall) / hatchPx) * hatchPx;
    for (let x = first; x < right; x += hatchPx) {
      stroke(
        pen,
        [
          [x, bottom],
          [x + tall, top],
        ],
        { colour: pen.palette.soft, width: 1 },
      );
    }
    ctx.restore();
  }
}

function inPlot({ ctx }: Pen, { plot }: Mapping, draw: () => void): void {
  ctx.save();
  ctx.beginPath();
  ctx.rect(plot.left, plot.top, plot.right - plot.left, plot.bottom - plot.top);
  ctx.clip();
  draw();
  ctx.restore();
}
