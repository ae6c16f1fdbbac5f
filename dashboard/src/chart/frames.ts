/** The edges round the plot of each kind of chart, CSS pixels. */

import type { Frame } from './scene.ts';

/** Below this width a chart is on a phone. */
const phonePx = 520;

/** The room of the first watch's chart. */
export function fullFrame({ height, width }: { width: number; height: number }): Frame {
  return { width, height, left: width < phonePx ? 42 : 44, right: 0, top: 26, bottom: 42, row: false };
}

/** The room of a chart in a row. */
export function rowFrame({ height, width }: { width: number; height: number }): Frame {
  return { width, height, left: 42, right: 0, top: 12, bottom: 36, row: true };
}
