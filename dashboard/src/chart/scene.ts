/** What one chart shows, as plain data: temperatures in the units that are shown, instants in epoch ms. */

import type { Span } from '../feed/curve.ts';

/** The room of a chart in CSS pixels: its size, the edges round the plot, and how much of it is said. */
export type Frame = {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  /** A row's chart is small: no post head, no figures, shorter words. */
  row: boolean;
};

export type SeenPoint = { atMs: number; value: number };

export type AheadPoint = { atMs: number; low: number; mid: number; high: number };

/** Where the curve meets the target: still to come, with its interval, or done. */
export type Crossing =
  | { kind: 'forecast'; atMs: number; lowMs: number | null; highMs: number | null; text: string }
  | { kind: 'happened'; atMs: number; text: string };

/** How the times below are written: by the clock of a zone, or as minutes after a start. */
export type Times = { kind: 'clock'; zone: string } | { kind: 'since'; fromMs: number; name: string };

/** A way out: the dotted line, where it meets the target, and the last moment at which it still helps. */
export type RescueLine = {
  line: readonly { atMs: number; value: number }[];
  names: readonly string[];
  crossing: Extract<Crossing, { kind: 'forecast' }> | null;
  latest: { atMs: number; value: number; names: readonly string[] } | null;
};

/** Something that went on: a door has a stalk from the top, what lasted is hatched. */
export type SceneNote = Span & { kind: 'stalk' | 'hatch'; names: readonly string[] };

export type Scene = {
  frame: Frame;
  fromMs: number;
  toMs: number;
  low: number;
  high: number;
  /** Figures on the axis beside the target's own, rising. */
  steps: readonly number[];
  /** `wanted` runs from the longest words to the shortest; `side` is where the wanted ground lies. */
  target: { value: number; figure: string; wanted: readonly string[]; side: 'under' | 'above' };
  /** True where the wanted side is the warm one: a pot's. */
  wantsWarmth?: true;
  /** The span with a post at its end; null for what is kept without an end. */
  window: { fromMs: number; toMs: number; names: readonly string[] } | null;
  /** The thin line of the air around, in runs without a gap. */
  air: { runs: readonly (readonly SeenPoint[])[]; names: readonly string[] } | null;
  notes: readonly SceneNote[];
  /** The measured curve, in runs without a gap. */
  seen: readonly (readonly SeenPoint[])[];
  /** The forecast, from the last reading on; empty where there is none. */
  ahead: readonly AheadPoint[];
  aheadNames: readonly string[];
  heard: readonly Span[];
  now: { atMs: number; names: readonly string[] } | null;
  /** `spread` is the doubt of a value that was reckoned and not measured; null where it was measured. */
  dot: {
    atMs: number;
    value: number;
    heard: boolean;
    names: readonly string[];
    spread: { low: number; high: number } | null;
  } | null;
  /** Where the curve meets the post; `forecast` sets the figure slanted. */
  ring: { atMs: number; value: number; forecast: boolean; text: string } | null;
  crossing: Crossing | null;
  rescue: RescueLine | null;
  times: Times;
};
