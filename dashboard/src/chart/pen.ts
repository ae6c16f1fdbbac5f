/** Drawing in CSS pixels on a canvas: the few strokes that all parts of a chart are made of. */

import type { Palette } from './palette.ts';
import type { Lettering, Placed } from './placing.ts';

export type Pen = { ctx: CanvasRenderingContext2D; palette: Palette };

/** The font of a lettering, as a canvas takes it. */
export function fontOf({ bold, px, slanted }: Lettering): string {
  return `${slanted ? 'italic ' : ''}${bold ? 600 : 500} ${px}px "Fira Sans Condensed", "Fira Sans", sans-serif`;
}

/** How far the degree sign is drawn back to its letter, in sizes of the type. */
const degreeTight = 0.11;

/** Returns the width of words in CSS pixels. */
export function widthOf(ctx: CanvasRenderingContext2D, words: string, lettering: Lettering): number {
  ctx.save();
  ctx.font = fontOf(lettering);
  const degrees = words.match(/°(?=[FC])/g)?.length ?? 0;
  const width = ctx.measureText(words).width - degrees * degreeTight * lettering.px;
  ctx.restore();
  return width;
}

/** Writes words whose room was found. */
export function write({ ctx, palette }: Pen, { anchor, lettering, words, x, y }: Omit<Placed, 'box'>): void {
  ctx.save();
  ctx.font = fontOf(lettering);
  ctx.fillStyle = palette[lettering.colour];
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  const width = widthOf(ctx, words, lettering);
  let left = anchor === 'start' ? x : anchor === 'middle' ? x - width / 2 : x - width;
  for (const part of words.split(/(?<=°)(?=[FC])/)) {
    ctx.fillText(part, left, y);
    left += ctx.measureText(part).width - (part.endsWith('°') ? degreeTight * lettering.px : 0);
  }
  ctx.restore();
}

export type Line = readonly (readonly [number, number])[];

/** Strokes a line through points. */
export function stroke(
  { ctx }: Pen,
  points: Line,
  { colour, width }: { colour: string; width: number },
): void {
  ctx.save();
  ctx.beginPath();
  for (const [x, y] of points) ctx.lineTo(x, y);
  ctx.strokeStyle = colour;
  ctx.lineWidth = width;
  ctx.lineJoin = 'round';
  ctx.stroke();
  ctx.restore();
}

/** Fills the shape between points, with an edge round it where one is given. */
export function fill(
  { ctx }: Pen,
  points: Line,
  { colour, edge }: { colour: string; edge?: { colour: string; width: number } },
): void {
  ctx.save();
  ctx.beginPath();
  for (const [x, y] of points) ctx.lineTo(x, y);
  ctx.closePath();
  if (edge !== undefined) {
    ctx.strokeStyle = edge.colour;
    // Half of an edge lies under the filling.
    ctx.lineWidth = edge.width * 2;
    ctx.lineJoin = 'miter';
    ctx.stroke();
  }
  ctx.fillStyle = colour;
  ctx.fill();
  ctx.restore();
}

/** Fills an upright box. */
export function fillBox(
  { ctx }: Pen,
  box: { left: number; top: number; right: number; bottom: number },
  colour: string,
): void {
  ctx.save();
  ctx.fillStyle = colour;
  ctx.fillRect(box.left, box.top, box.right - box.left, box.bottom - box.top);
  ctx.restore();
}

/** Draws a disc: filled with one colour, edged with another. */
export function disc(
  { ctx }: Pen,
  { radius, x, y }: { x: number; y: number; radius: number },
  { colour, edge }: { colour: string; edge: { colour: string; width: number } },
): void {
  ctx.save();
  ctx.beginPath();
  ctx.arc(x, y, radius, 0, 2 * Math.PI);
  ctx.fillStyle = colour;
  ctx.fill();
  ctx.strokeStyle = edge.colour;
  ctx.lineWidth = edge.width;
  ctx.stroke();
  ctx.restore();
}
