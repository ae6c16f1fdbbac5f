/** The port through which a mirror reads the history. */

/**
 * One kept reading: its number (0 where only its block holds it), UTC as far as it is known, °C as shown,
 * `readingFlags`, when it was received (its instant where that is not kept any more).
 */
export type MirrorReading = {
  inputSeq: number;
  probe: string;
  atMs: number;
  tempC: number;
  flags: number;
  receivedMs: number;
};

/** A stretch of a probe's time, epoch ms, `toMs` not included. */
export type MirrorStretch = { probe: string; fromMs: number; toMs: number };

/**
 * What follows a number and is kept by its instants alone: stretches to be sent as a whole, and the number
 * after which to follow the others then; those numbered up to a probe's `sealedSeqs` are in the stretches.
 */
export type MirrorPast = {
  stretches: MirrorStretch[];
  followFromSeq: number;
  sealedSeqs: Record<string, number>;
};

export type MirrorSource = {
  /** Returns up to `limit` readings numbered above `inputSeq`, in order of their numbers; fewer are the last. */
  readingsAfter(inputSeq: number, limit: number): Promise<MirrorReading[]>;
  /** Returns what follows a number and has no number any more; null where every reading after it has one. */
  pastAfter(inputSeq: number): Promise<MirrorPast | null>;
  /** Returns the first readings of a stretch that have no number, and from when to go on; null at its end. */
  readingsOf(stretch: MirrorStretch): Promise<{ readings: MirrorReading[]; nextMs: number | null }>;
};
