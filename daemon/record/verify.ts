/** What `record verify` found wrong at one event. */
export type ChainFault = {
  recordSeq: number;
  kind: 'link' | 'hash' | 'number' | 'column' | 'duplicate' | 'body' | 'unreadable';
  expected: string;
  found: string;
};

/** The outcome of checking the whole record; `faults` holds the first `chainFaultsMax`, `faultCount` all. */
export type VerifyReport = { events: number; lastHash: string; faults: ChainFault[]; faultCount: number };
