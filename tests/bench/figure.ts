/** One figure of a bench: what was measured, against what, and how many times as much. */
export type Figure = {
  bench: string;
  figure: string;
  value: number;
  unit: string;
  /** The bare reference or peer that ran in the same run; null where the figure is a bound of its own. */
  versus: string | null;
  /** `value` over that of the reference; null where there is none. */
  ratio: number | null;
};

/** How large a bench runs: `small` in seconds, for the tests; `full` for figures that are quoted. */
export type BenchSize = 'small' | 'full';

/** A bench: prints nothing itself, hands each figure to `tell`, and returns a checksum of what came out. What it draws follows from `seed`. */
export type Bench = (size: BenchSize, tell: (figure: Figure) => void, seed: number) => Promise<string>;

/** Rounds a figure to four digits that mean something. */
export function rounded(value: number): number {
  return value === 0 ? 0 : Number(value.toPrecision(4));
}
