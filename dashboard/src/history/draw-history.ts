/** Draws a history on a canvas: gaps, envelopes, means, notices, the border strip and its figures. */

import type { HistoryBucket } from '../../../shared/contract/api.ts';
import { formatDegrees, toUnits } from '../../../shared/units/format.ts';
import { disc, fill, fillBox, fontOf, type Line, type Pen, stroke, widthOf, write } from '../chart/pen.ts';
import type { Lettering } from '../chart/placing.ts';
import { bucketAt } from './envelope.ts';
import type { HistoryScene, ShownCurve } from './history-scene.ts';
import { clockOrDate } from './history-words.ts';

export type HistoryFrame = { width: number; height: number };

type Plot = { left: number; right: number; top: number; bottom: number };
type Map = { plot: Plot; x: (atMs: number) => number; y: (tempC: number) => number };

const plain: Lettering = { px: 16, bold: false, slanted: false, colour: 'soft' };
const bold: Lettering = { px: 16, bold: true, slanted: false, colour: 'ink' };

const stripPx = 10;

/** The room of the plot within a picture. */
export function plotOf({ width, height }: HistoryFrame): Plot {
  return { left: 46, right: width - 1, top: 30, bottom: height - 44 };
}

export function drawHistory(pen: Pen, scene: HistoryScene, frame: HistoryFrame): void {
  const plot = plotOf(frame);
  const { span, low, high, units } = scene;
  const map: Map = {
    plot,
    x: (atMs) => plot.left + ((atMs - span.fromMs) / (span.toMs - span.fromMs)) * (plot.right - plot.left),
    y: (tempC) => plot.bottom - ((toUnits(tempC, units) - low) / (high - low)) * (plot.bottom - plot.top),
  };
  pen.ctx.clearRect(0, 0, frame.width, frame.height);
  drawGrid(pen, scene, map);
  within(pen, plot, () => {
    drawGaps(pen, scene, map);
    if (scene.beside !== null) drawCurve(pen, scene.beside, map, 'beside');
    drawCurve(pen, scene.first, map, 'first');
  });
  drawNotices(pen, scene, map);
  drawStrip(pen, scene, map);
  drawTimes(pen, scene, map, frame);
  drawNames(pen, scene, map);
  drawCursor(pen, scene, map);
}

function within({ ctx }: Pen, { left, right, top, bottom }: Plot, draw: () => void): void {
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top - 4, right - left, bottom - top + 4);
  ctx.clip();
  draw();
  ctx.restore();
}

function drawGrid(pen: Pen, { steps, low, high }: HistoryScene, { plot }: Map): void {
  for (const [index, step] of steps.entries()) {
    const y = plot.bottom - ((step - low) / (high - low)) * (plot.bottom - plot.top);
    stroke(pen, level(plot, y), { colour: pen.palette.rule, width: 1 });
    const figure = `${String(step).replace('-', '\u2212')}${index === steps.length - 1 ? '°' : ''}`;
    write(pen, { words: figure, x: plot.left - 8, y: y + 5.5, anchor: 'end', lettering: plain });
  }
}

function level({ left, right }: Plot, y: number): Line {
  return [
    [left, y],
    [right, y],
  ];
}

/** Time in which nothing was heard: a hatch, named where there is room. */
function drawGaps(pen: Pen, { gaps }: HistoryScene, { plot, x }: Map): void {
  for (const gap of gaps) {
    const left = Math.max(plot.left, x(gap.fromMs));
    const right = Math.min(plot.right, x(gap.toMs));
    if (right <= left) continue;
    pen.ctx.save();
    pen.ctx.beginPath();
    pen.ctx.rect(left, plot.top, Math.max(1, right - left), plot.bottom - plot.top);
    pen.ctx.clip();
    for (let at = left - (plot.bottom - plot.top); at < right; at += 7) {
      stroke(
        pen,
        [
          [at, plot.bottom],
          [at + (plot.bottom - plot.top), plot.top],
        ],
        { colour: pen.palette.soft, width: 1 },
      );
    }
    pen.ctx.restore();
    const words = 'not heard';
    if (widthOf(pen.ctx, words, plain) + 12 < right - left) {
      write(pen, { words, x: (left + right) / 2, y: plot.bottom - 12, anchor: 'middle', lettering: plain });
    }
  }
}

/** The range of each bucket as a band, edged where it is wide enough to be seen, and its mean as a solid line. */
function drawCurve(pen: Pen, { envelope }: ShownCurve, { x, y, plot }: Map, which: 'first' | 'beside'): void {
  const { palette } = pen;
  const isFirst = which === 'first';
  for (const run of envelope.runs) {
    const seen = run.filter(({ fromMs, toMs }) => x(toMs) >= plot.left - 40 && x(fromMs) <= plot.right + 40);
    if (seen.length === 0) continue;
    const middle = (bucket: HistoryBucket) => x((bucket.fromMs + bucket.toMs) / 2);
    if (isFirst) {
      const band: Line = [
        ...seen.map((bucket): [number, number] => [middle(bucket), y(bucket.maxC) - 0.5]),
        ...seen.map((bucket): [number, number] => [middle(bucket), y(bucket.minC) + 0.5]).reverse(),
      ];
      fill(pen, band, { colour: `${palette.band}8c` });
    }
    const style = isFirst ? { colour: palette.ink, width: 2.5 } : { colour: palette.soft, width: 1.4 };
    const mean = seen.map((bucket): [number, number] => [middle(bucket), y(bucket.meanC)]);
    const [only] = mean;
    if (mean.length === 1 && only !== undefined) {
      // One reading between two gaps is a dot: a line of no length would not be seen.
      disc(
        pen,
        { x: only[0], y: only[1], radius: isFirst ? 2.5 : 2 },
        { colour: style.colour, edge: { ...style, width: 0.5 } },
      );
    } else stroke(pen, mean, style);
    if (!isFirst) drawEdges(pen, { seen, middle, y });
  }
}

/** The range of the second curve as two hairlines, so that the two grounds are not taken for one. */
function drawEdges(
  pen: Pen,
  {
    seen,
    middle,
    y,
  }: { seen: readonly HistoryBucket[]; middle: (bucket: HistoryBucket) => number; y: Map['y'] },
): void {
  const isWide = seen.some(({ minC, maxC }) => y(minC) - y(maxC) > 6);
  if (!isWide) return;
  for (const side of ['minC', 'maxC'] as const) {
    const edge = seen.map((bucket): [number, number] => [middle(bucket), y(bucket[side])]);
    stroke(pen, edge, { colour: pen.palette.soft, width: 0.6 });
  }
}

/** A notice is a stalk from the top with a head: a triangle for a warning, filled for an alarm, a bar for a tell. */
function drawNotices(pen: Pen, { notices, span }: HistoryScene, { plot, x }: Map): void {
  for (const { atMs, weight } of notices) {
    if (atMs < span.fromMs || atMs >= span.toMs) continue;
    const at = x(atMs);
    stroke(
      pen,
      [
        [at, plot.top - 6],
        [at, weight === 'tell' ? plot.top + 14 : plot.bottom],
      ],
      { colour: pen.palette.ink, width: weight === 'tell' ? 1.5 : 1 },
    );
    const size = weight === 'tell' ? 4 : 6;
    const head: Line = [
      [at - size, plot.top - 6 - size],
      [at + size, plot.top - 6 - size],
      [at, plot.top - 4],
    ];
    const colour = weight === 'alarm' ? pen.palette.ink : pen.palette.paper;
    fill(pen, head, { colour, edge: { colour: pen.palette.ink, width: 1.5 } });
  }
}

/** The chequered border: heard time in ink, unheard and coming time empty, and what came late as a line above it. */
function drawStrip(pen: Pen, scene: HistoryScene, { plot, x }: Map): void {
  const { ink, paper } = pen.palette;
  const { bottom: top, left, right } = plot;
  const bottom = top + stripPx;
  fillBox(pen, { left, top, right, bottom }, paper);
  const box = (fromMs: number, toMs: number, colour: string, at = { top, bottom }) => {
    const [from, to] = [Math.max(left, x(fromMs)), Math.min(right, x(toMs))];
    if (to > from) fillBox(pen, { left: from, right: Math.max(to, from + 0.75), ...at }, colour);
  };
  const { cellMs, cellZeroMs, span, first } = scene;
  for (const run of first.envelope.runs) {
    const [from, to] = [run[0]?.fromMs ?? 0, run.at(-1)?.toMs ?? 0];
    const start = Math.max(from, span.fromMs);
    const cell = Math.floor((start - cellZeroMs) / (2 * cellMs)) * 2 * cellMs + cellZeroMs;
    for (let at = cell; at < Math.min(to, span.toMs); at += 2 * cellMs) {
      box(Math.max(at, from), Math.min(at + cellMs, to), ink);
    }
  }
  pen.ctx.save();
  pen.ctx.strokeStyle = ink;
  pen.ctx.lineWidth = 1.5;
  pen.ctx.strokeRect(left + 0.75, top, right - left - 1.5, bottom - top);
  pen.ctx.restore();
  drawLate(pen, scene, { plot, x });
}

/** What came late has a hollow bar just above the strip, over the time that it filled. */
function drawLate(pen: Pen, { late, span }: HistoryScene, { plot, x }: Pick<Map, 'plot' | 'x'>): void {
  const top = plot.bottom - 9;
  let namedPx = -Infinity;
  for (const { fromMs, toMs } of late) {
    if (toMs <= span.fromMs || fromMs >= span.toMs) continue;
    const left = Math.max(plot.left, x(fromMs));
    const right = Math.max(left + 4, Math.min(plot.right, x(toMs)));
    fillBox(pen, { left, right, top, bottom: top + 6 }, pen.palette.paper);
    pen.ctx.save();
    pen.ctx.strokeStyle = pen.palette.ink;
    pen.ctx.lineWidth = 1.5;
    pen.ctx.strokeRect(left + 0.75, top, right - left - 1.5, 6);
    pen.ctx.restore();
    if (left - namedPx < 160) continue;
    const words = 'came late';
    const width = widthOf(pen.ctx, words, bold);
    const spot = { words, left: Math.min(left, plot.right - width), width, y: top - 6, lettering: bold };
    haloed(pen, spot);
    write(pen, { ...spot, x: spot.left, anchor: 'start' });
    namedPx = left;
  }
}

function drawTimes(pen: Pen, scene: HistoryScene, { plot, x }: Map, frame: HistoryFrame): void {
  const baseline = plot.bottom + stripPx + 22;
  let rightPx = -Infinity;
  const nowAt = x(scene.nowMs);
  if (nowAt >= plot.left && nowAt <= plot.right) {
    const top = plot.bottom + stripPx - 1;
    const pointer: Line = [
      [nowAt - 6, top + 8],
      [nowAt, top],
      [nowAt + 6, top + 8],
    ];
    fill(pen, pointer, { colour: pen.palette.ink });
  }
  for (const { atMs, words, isDate } of scene.marks) {
    const lettering = isDate ? bold : plain;
    const width = widthOf(pen.ctx, words, lettering);
    const middle = Math.min(Math.max(x(atMs), width / 2), frame.width - width / 2);
    if (Math.abs(middle - x(atMs)) > width / 2 || middle - width / 2 < rightPx + 10) continue;
    rightPx = middle + width / 2;
    write(pen, { words, x: middle, y: baseline, anchor: 'middle', lettering });
  }
}

type Spot = { words: string; left: number; width: number; y: number; lettering: Lettering };

/** Each curve is named over its own end, clear of what lies under the name; two names never lie on each other. */
function drawNames(pen: Pen, { first, beside }: HistoryScene, map: Map): void {
  const { top, bottom } = map.plot;
  const one = spotOf(pen, first, map, bold);
  const two = beside === null ? null : spotOf(pen, beside, map, plain);
  if (one !== null && two !== null && Math.abs(one.y - two.y) < 20) {
    two.y = one.y - 20 > top + 14 ? one.y - 20 : Math.min(bottom - 16, one.y + 44);
  }
  for (const spot of [one, two]) {
    if (spot === null) continue;
    haloed(pen, spot);
    write(pen, { ...spot, x: spot.left, anchor: 'start' });
  }
}

function spotOf(
  pen: Pen,
  { name, envelope }: ShownCurve,
  { plot, x, y }: Map,
  lettering: Lettering,
): Spot | null {
  const seen = envelope.runs
    .flat()
    .filter(({ fromMs, toMs }) => x(toMs) > plot.left && x(fromMs) < plot.right);
  const last = seen.at(-1);
  if (last === undefined) return null;
  const width = widthOf(pen.ctx, name, lettering);
  const left = Math.max(plot.left + 4, Math.min(plot.right - 4, x(last.toMs)) - width);
  const under = seen.filter(({ fromMs, toMs }) => x(toMs) > left - 6 && x(fromMs) < left + width + 6);
  const highest = Math.min(...under.map(({ maxC }) => y(maxC)));
  return { words: name, left, width, y: Math.max(plot.top + 14, highest - 9), lettering };
}

/** The ground round a name, so that a line behind it does not run through its letters. */
function haloed({ ctx, palette }: Pen, { words, left, y, lettering }: Spot): void {
  ctx.save();
  ctx.font = fontOf(lettering);
  ctx.strokeStyle = palette.paper;
  ctx.lineWidth = 6;
  ctx.lineJoin = 'round';
  ctx.strokeText(words, left, y);
  ctx.restore();
}

/** What stood at the instant pointed at: a plumb line, a ring, and the figures at its head. */
function drawCursor(pen: Pen, scene: HistoryScene, { plot, x, y }: Map): void {
  const { cursorMs, first, units, zone, span } = scene;
  if (cursorMs === null || cursorMs < span.fromMs || cursorMs > span.toMs) return;
  const at = x(cursorMs);
  stroke(
    pen,
    [
      [at, plot.top],
      [at, plot.bottom + stripPx],
    ],
    { colour: pen.palette.ink, width: 1 },
  );
  const bucket = bucketAt(first.envelope, cursorMs, (span.toMs - span.fromMs) / 60);
  const when = clockOrDate(cursorMs, span, zone);
  const words = bucket === null ? `${when} not heard` : `${when}  ${figuresOf(bucket, units)}`;
  if (bucket !== null) {
    const spot = { x: x((bucket.fromMs + bucket.toMs) / 2), y: y(bucket.meanC), radius: 5 };
    disc(pen, spot, { colour: pen.palette.paper, edge: { colour: pen.palette.ink, width: 2.5 } });
  }
  const width = widthOf(pen.ctx, words, bold);
  const left = Math.min(Math.max(plot.left, at - width / 2), plot.right - width);
  fillBox(pen, { left: left - 5, right: left + width + 5, top: 0, bottom: 21 }, pen.palette.paper);
  write(pen, { words, x: left, y: 16, anchor: 'start', lettering: bold });
}

function figuresOf({ minC, maxC, meanC, count }: HistoryBucket, units: HistoryScene['units']): string {
  const mean = formatDegrees(meanC, { units });
  if (count === 1 || formatDegrees(minC, { units }) === formatDegrees(maxC, { units })) return `${mean}°`;
  return `${mean}° (${formatDegrees(minC, { units })} to ${formatDegrees(maxC, { units })})`;
}
