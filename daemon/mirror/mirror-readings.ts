/** The port through which a mirror reads the history. */

/** One kept reading: its number, UTC as far as it is known, °C as shown, `readingFlags`, when it was received. */
export type MirrorReading = {
  inputSeq: number;
  probe: string;
  atMs: number;
  tempC: number;
  flags: number;
  receivedMs: number;
};

/** Returns up to `limit` readings numbered above `inputSeq`, in order of their numbers; fewer are the last. */
export type ReadingsAfter = (inputSeq: number, limit: number) => Promise<MirrorReading[]>;
