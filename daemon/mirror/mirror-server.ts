/** The port to a server that keeps a copy of the readings. */

/** One reading as the server is told it: UTC in whole ms, °C; `place` is null where none is known. */
export type MirrorPoint = { probe: string; place: string | null; atMs: number; tempC: number };

/**
 * What became of a batch. `taken`: the server says that it keeps it. `away`: it could not be reached or is
 * busy; the same batch may be sent again, not before `againMs` from now where it said so. `denied`: it does
 * not know this house, its token or its bucket; a person must help. `too-large`: smaller batches may pass.
 * `refused`: something in the batch is against its rules, and will be again.
 */
export type WriteOutcome =
  | { is: 'taken' }
  | { is: 'away'; why: string; againMs: number | null }
  | { is: 'denied'; why: string }
  | { is: 'too-large' }
  | { is: 'refused'; why: string };

export type MirrorServer = {
  /** Sends one batch in one request and never rejects; no reason holds a credential. */
  write(points: readonly MirrorPoint[]): Promise<WriteOutcome>;
  /** Cuts the connection; a write under way ends as `away`. */
  close(): void;
};
