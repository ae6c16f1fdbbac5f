/** The one file that knows uPlot: it gives the scales, the canvas, the grid and the paths; the rest is drawn round them. */

import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { drawAir, drawHatches } from './draw-around.ts';
import { drawBorder } from './draw-border.ts';
import { drawGrounds, drawTarget } from './draw-ground.ts';
import { drawMarks } from './draw-marks.ts';
import { drawRescue } from './draw-rescue.ts';
import { type Mapping, nameWishes, sceneLines, sceneMarks } from './names.ts';
import { onPaletteChange, type Palette, readPalette } from './palette.ts';
import { type Pen, widthOf, write } from './pen.ts';
import { placeNames } from './placing.ts';
import type { Scene } from './scene.ts';
import { zeroOf } from './steps.ts';

export type Plot = {
  /** Draws a scene, in its own size. */
  show(scene: Scene): void;
  /** Takes the chart off the page. */
  close(): void;
};

/** Opens a chart in an element of the page and draws it again when colours change or the fonts have come. */
export function openPlot(host: HTMLElement, first: Scene): Plot {
  let scene = first;
  let palette = readPalette();
  const plot = new uPlot(
    options(
      () => scene,
      () => palette,
    ),
    tableOf(first),
    host,
  );
  const endWatch = onPaletteChange(() => {
    palette = readPalette();
    plot.redraw(false, true);
  });
  let open = true;
  // A canvas draws with what is loaded and does not wait: ask for the cuts, then draw once more.
  void Promise.all(cuts.map((cut) => document.fonts.load(cut))).then(() => {
    if (open) plot.redraw(false, true);
  });
  return {
    show(next) {
      const resized = next.frame.width !== scene.frame.width || next.frame.height !== scene.frame.height;
      scene = next;
      plot.batch(() => {
        if (resized) plot.setSize(next.frame);
        plot.setData(tableOf(next));
      });
    },
    close() {
      open = false;
      endWatch();
      plot.destroy();
    },
  };
}

const cuts = ['500 16px', '600 16px', 'italic 500 16px', 'italic 600 20px'].map(
  (cut) => `${cut} "Fira Sans Condensed"`,
);

/** Columns: instants, the forecast's low, high and middle, then what was measured, which is drawn last. */
function tableOf({ ahead, seen }: Scene): uPlot.AlignedData {
  const at: number[] = [];
  const columns: (number | null)[][] = [[], [], [], []];
  const add = (atMs: number, row: readonly (number | null)[]) => {
    at.push(atMs);
    for (const [index, column] of columns.entries()) column.push(row[index] ?? null);
  };
  for (const run of seen) {
    for (const { atMs, value } of run) add(atMs, [null, null, null, value]);
    const last = run.at(-1);
    // A row of nothing ends the run.
    if (last !== undefined) add(last.atMs + 1, []);
  }
  for (const { atMs, high, low, mid } of ahead) {
    // The forecast starts in the last reading itself, whose instant is taken.
    add(Math.max(atMs, (at.at(-1) ?? atMs - 1) + 1), [low, high, mid, null]);
  }
  return [at, ...columns] as uPlot.AlignedData;
}

function options(scene: () => Scene, palette: () => Palette): uPlot.Options {
  const { frame } = scene();
  const ink = () => palette().ink;
  const line = uPlot.paths.linear?.();
  const shared = { points: { show: false }, pxAlign: 0, ...(line === undefined ? {} : { paths: line }) };
  return {
    width: frame.width,
    height: frame.height,
    ms: 1,
    pxAlign: false,
    padding: [() => scene().frame.top, () => scene().frame.right, () => scene().frame.bottom, 0],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, range: () => [scene().fromMs, scene().toMs] },
      y: { range: () => [scene().low, scene().high] },
    },
    axes: [
      { show: false },
      {
        size: () => scene().frame.left,
        gap: 8,
        font: '500 16px "Fira Sans Condensed", sans-serif',
        stroke: () => palette().soft,
        splits: () => [...scene().steps],
        values: (_, splits) =>
          splits.map((step, index) => `${step}${index === splits.length - 1 ? '°' : ''}`),
        grid: { stroke: () => palette().rule, width: 1 },
        ticks: { show: false },
      },
    ],
    series: [
      {},
      { ...shared, width: 0 },
      { ...shared, width: 0 },
      { ...shared, stroke: ink, width: 3, dash: [10, 6].map((px) => px * uPlot.pxRatio) },
      { ...shared, stroke: ink, width: 4.5, cap: 'round' },
    ],
    bands: [{ series: [2, 1], fill: () => translucent(palette().band) }],
    hooks: {
      drawClear: [(plot) => inCssPixels(plot, palette(), (pen, map) => drawGrounds(pen, scene(), map))],
      drawAxes: [(plot) => inCssPixels(plot, palette(), (pen, map) => drawUnder(pen, scene(), map))],
      draw: [(plot) => inCssPixels(plot, palette(), (pen, map) => drawOver(pen, scene(), map))],
    },
  };
}

function drawUnder(pen: Pen, scene: Scene, map: Mapping): void {
  drawHatches(pen, scene, map);
  drawTarget(pen, scene, map, zeroOf(scene));
  drawAir(pen, scene, map);
}

function drawOver(pen: Pen, scene: Scene, map: Mapping): void {
  drawRescue(pen, scene, map);
  drawMarks(pen, scene, map);
  drawBorder(pen, scene, map, zeroOf(scene));
  const names = placeNames(nameWishes(scene, map), {
    ...sceneLines(scene, map),
    bounds: { left: map.plot.left, top: 0, right: scene.frame.width, bottom: map.plot.bottom },
    boxes: sceneMarks(scene, map),
    widthOf: (words, lettering) => widthOf(pen.ctx, words, lettering),
  });
  for (const name of names) write(pen, name);
}

/** uPlot draws in device pixels; the look is told in CSS pixels, so the canvas is scaled while we draw. */
function inCssPixels(plot: uPlot, palette: Palette, draw: (pen: Pen, map: Mapping) => void): void {
  const ratio = uPlot.pxRatio;
  const left = plot.bbox.left / ratio;
  const top = plot.bbox.top / ratio;
  plot.ctx.save();
  plot.ctx.scale(ratio, ratio);
  draw(
    { ctx: plot.ctx, palette },
    {
      x: (atMs) => left + plot.valToPos(atMs, 'x'),
      y: (value) => top + plot.valToPos(value, 'y'),
      plot: { left, top, right: left + plot.bbox.width / ratio, bottom: top + plot.bbox.height / ratio },
    },
  );
  plot.ctx.restore();
}

/** A hex colour at the strength in which the band is drawn. */
function translucent(hex: string): string {
  return `${hex}8c`;
}
