/** The words between the intake and the history: what is offered for keeping, and what became of it. */

/**
 * When a reading was taken: `atMs` is UTC in whole milliseconds as the source gave it; `steadyMs` is the
 * daemon's steady clock in whole milliseconds at receipt, in an era that `openEra` has opened.
 */
export type Stamp = { atMs: number } | { era: number; steadyMs: number };

/** One reading offered for keeping: °C as read, `readingFlags` as the intake knows them, receipt in epoch ms. */
export type IntakeItem = {
  probe: string;
  tempC: number;
  flags: number;
  receivedMs: number;
  stamp: Stamp;
};

/**
 * What became of an offered reading.
 * `stored`: on disk; `atMs` is UTC as far as it is known, `flags` are those given plus `late` where it was
 * older than the newest dated reading of its probe.
 * `repeat`: this probe already has this value at this absolute instant. `conflict`: it has another value
 * there, `keptC`, which stays. `refused`: it breaks a rule that sending again will not mend.
 */
export type Verdict =
  | { is: 'stored'; inputSeq: number; atMs: number; flags: number }
  | { is: 'repeat' }
  | { is: 'conflict'; keptC: number }
  | { is: 'refused'; code: ReadingFaultCode; message: string };

/** `READING_RULE`: a field breaks its rule; `READING_REJECTED`: the database would not take this one row. */
export type ReadingFaultCode = 'READING_RULE' | 'READING_REJECTED';
