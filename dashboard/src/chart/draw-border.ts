/** The chequered border under the plot: minutes heard in ink, minutes ahead in the rule's colour, and the times. */

import { formatClock } from '../../../shared/units/format.ts';
import type { Mapping } from './names.ts';
import { fill, fillBox, type Pen, widthOf, write } from './pen.ts';
import { boxOf, type Lettering, overlaps, type Spot } from './placing.ts';
import type { Scene } from './scene.ts';
import { cellSpanMs, multiplesBetween, timeStepMs } from './steps.ts';

/** The least distance of two times, px; a wide chart gives them more air. */
const timeClearPx = { narrow: 54, wide: 72 };

/** From this width of the plot on, px, it is wide. */
const wideFromPx = 520;

const plain: Lettering = { px: 16, bold: false, slanted: false, colour: 'soft' };
const bold: Lettering = { px: 16, bold: true, slanted: false, colour: 'ink' };

/** Draws the border strip, its times and the pointer of now. */
export function drawBorder(pen: Pen, scene: Scene, map: Mapping, zeroMs: number): void {
  drawCells(pen, scene, map, zeroMs);
  const nowSpot = drawNow(pen, scene, map);
  drawTimes(pen, scene, map, { zeroMs, keepOff: nowSpot });
}

function stripPx(scene: Scene): number {
  return scene.frame.row ? 8 : 10;
}

function drawCells(pen: Pen, scene: Scene, { plot, x }: Mapping, zeroMs: number): void {
  const { ink, paper, rule } = pen.palette;
  const top = plot.bottom;
  const bottom = top + stripPx(scene);
  fillBox(pen, { left: plot.left, top, right: plot.right, bottom }, paper);
  const cellMs = cellSpanMs(scene.toMs - scene.fromMs, plot.right - plot.left);
  const nowMs = scene.now?.atMs ?? Number.NEGATIVE_INFINITY;
  const fillSpan = (fromMs: number, toMs: number, colour: string) => {
    const left = Math.max(plot.left, x(fromMs));
    const right = Math.min(plot.right, x(toMs));
    if (right > left) fillBox(pen, { left, top, right, bottom }, colour);
  };
  for (const cellFromMs of multiplesBetween(
    { fromMs: scene.fromMs - 2 * cellMs, toMs: scene.toMs },
    { stepMs: 2 * cellMs, zeroMs },
  )) {
    const cellToMs = cellFromMs + cellMs;
    if (cellToMs > nowMs) fillSpan(Math.max(cellFromMs, nowMs), cellToMs, rule);
    for (const { fromMs, toMs } of scene.heard) {
      fillSpan(Math.max(cellFromMs, fromMs), Math.min(cellToMs, toMs, nowMs), ink);
    }
  }
  pen.ctx.save();
  pen.ctx.strokeStyle = ink;
  pen.ctx.lineWidth = 1.5;
  pen.ctx.strokeRect(plot.left + 0.75, top, plot.right - plot.left - 1.5, bottom - top);
  pen.ctx.restore();
}

function drawNow(pen: Pen, scene: Scene, { plot, x }: Mapping): (Spot & { width: number }) | null {
  const { frame, now } = scene;
  if (now === null || now.atMs > scene.toMs) return null;
  const at = x(now.atMs);
  const top = plot.bottom + stripPx(scene) - 1;
  fill(
    pen,
    [
      [at - 7, top + 9],
      [at, top],
      [at + 7, top + 9],
    ],
    { colour: pen.palette.ink },
  );
  const words = now.names[0] ?? 'now';
  const width = widthOf(pen.ctx, words, bold);
  const middle = Math.min(Math.max(at, width / 2), frame.width - width / 2);
  const spot: Spot = { x: middle, y: top + 24, anchor: 'middle' };
  write(pen, { ...spot, words, lettering: bold });
  return { ...spot, width };
}

function drawTimes(
  pen: Pen,
  scene: Scene,
  { plot, x }: Mapping,
  { keepOff, zeroMs }: { zeroMs: number; keepOff: (Spot & { width: number }) | null },
): void {
  const spanMs = scene.toMs - scene.fromMs;
  const widthPx = plot.right - plot.left;
  const clearPx = widthPx < wideFromPx ? timeClearPx.narrow : timeClearPx.wide;
  const stepMs = timeStepMs(spanMs, { widthPx, clearPx });
  const baseline = plot.bottom + stripPx(scene) + 21;
  const taken = keepOff === null ? null : boxOf({ ...keepOff, y: baseline }, keepOff.width + 16, 16);
  for (const atMs of multiplesBetween(scene, { stepMs, zeroMs })) {
    const words = timeText(scene, atMs);
    const width = widthOf(pen.ctx, words, plain);
    const at = x(atMs);
    // The first name of an empty chart starts at the edge; a time that would stand over an edge is left out.
    const anchor = scene.times.kind === 'since' && atMs === scene.times.fromMs ? 'start' : 'middle';
    const spot: Spot = { x: at, y: baseline, anchor };
    const box = boxOf(spot, width, 16);
    if (box.right > scene.frame.width || (anchor === 'middle' && box.left < plot.left - 20)) continue;
    if (taken !== null && overlaps(box, taken)) continue;
    write(pen, { ...spot, words, lettering: plain });
  }
}

function timeText({ times }: Scene, atMs: number): string {
  if (times.kind === 'clock') return formatClock(atMs, times.zone);
  const minutes = Math.round((atMs - times.fromMs) / 60_000);
  return minutes === 0 ? times.name : `+${minutes}`;
}
