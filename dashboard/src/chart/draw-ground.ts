/** What lies under the curve: the window's ground, the wanted side, the target with its barbs, the post. */

import type { Mapping } from './names.ts';
import { fill, fillBox, type Pen, stroke, write } from './pen.ts';
import type { Scene } from './scene.ts';
import { multiplesBetween } from './steps.ts';

/** Fills the grounds of the window and of the wanted side. */
export function drawGrounds(pen: Pen, scene: Scene, { plot, x, y }: Mapping): void {
  const { target, window } = scene;
  const line = y(target.value);
  if (window !== null) {
    const left = Math.max(plot.left, x(window.fromMs));
    const right = Math.min(plot.right, x(window.toMs));
    if (right > left) fillBox(pen, { left, top: plot.top, right, bottom: line }, pen.palette.land);
  }
  const wanted =
    target.side === 'under' ? { top: line, bottom: plot.bottom } : { top: plot.top, bottom: line };
  const ground = scene.wantsWarmth ? pen.palette.warm : pen.palette.cold;
  fillBox(pen, { left: plot.left, right: plot.right, ...wanted }, ground);
}

const minuteMs = 60_000;
const barbStepsMs = [15, 30, 60, 120, 360].map((minutes) => minutes * minuteMs);

/** The least distance of two barbs, px. */
const barbClearPx = 24;

/** Draws the target line, its figure on the axis and its barbs, then the post. */
export function drawTarget(pen: Pen, scene: Scene, map: Mapping, zeroMs: number): void {
  const { frame, target, window } = scene;
  const { plot } = map;
  const { ink } = pen.palette;
  const line = map.y(target.value);
  stroke(
    pen,
    [
      [plot.left, line],
      [plot.right, line],
    ],
    { colour: ink, width: 2 },
  );
  write(pen, {
    words: target.figure,
    x: plot.left - 8,
    y: line + 5.5,
    anchor: 'end',
    lettering: { px: 16, bold: true, slanted: false, colour: 'ink' },
  });
  const size = frame.row ? 3.5 : 5;
  const down = target.side === 'under' ? 1 : -1;
  const pxPerMs = (plot.right - plot.left) / (scene.toMs - scene.fromMs);
  const stepMs = barbStepsMs.find((step) => step * pxPerMs >= barbClearPx) ?? 720 * minuteMs;
  for (const atMs of multiplesBetween(scene, { stepMs, zeroMs })) {
    const x = map.x(atMs);
    if (x < plot.left + size || x > plot.right - size) continue;
    fill(
      pen,
      [
        [x - size, line],
        [x + size, line],
        [x, line + down * size * 1.25],
      ],
      { colour: ink },
    );
  }
  if (window !== null && window.toMs > scene.fromMs && window.toMs < scene.toMs) {
    const x = map.x(window.toMs);
    const head = frame.row ? plot.top : plot.top - 16;
    stroke(
      pen,
      [
        [x, head],
        [x, plot.bottom],
      ],
      { colour: ink, width: 2 },
    );
  }
}
