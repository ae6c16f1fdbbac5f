/** The port of the forms in which readings leave: text that can be written piece by piece. */
import type { FormReading } from './form-reading.ts';

/** Makes one file; `head`, then any number of `rows` in order, then `tail`. */
export type Encoder = {
  head(): string;
  rows(readings: readonly FormReading[]): string;
  tail(): string;
};

/** What a form needs to know before its first row. */
export type EncoderOptions = {
  /** The house's id, where a form names it. */
  house: string;
  /** Every probe that may come, in the order of their columns where each has one. */
  probes: readonly string[];
};
