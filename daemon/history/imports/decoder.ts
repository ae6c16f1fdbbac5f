/** The port of the forms in which readings come from elsewhere: text in pieces, rows out, nothing thrown. */
import type { FormReading } from '../forms/form-reading.ts';

/** A reading of a file, or why a row is none, to stand after `line N`; `line` counts from 1. */
export type FileRow = { line: number } & ({ reading: FormReading } | { fault: string });

/** Takes a file piece by piece, cut anywhere, and holds no more of it than one row. */
export type Decoder = {
  push(text: string): FileRow[];
  /** Says that the file is over and returns what was still held. */
  end(): FileRow[];
};

/** The longest row that is read, in characters; a longer one is a fault, and what follows its end is read on. */
export const rowCharsMax = 65_536;
