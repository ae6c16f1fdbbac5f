import type { Happening } from '../../shared/contract/event.ts';

/** The state of one lane of the watching after input `inputSeq`; `body` is opaque to the record. */
export type Snapshot = { lane: string; stateVersion: number; inputSeq: number; body: string };

/** What one or more steps of the watching came to: kept whole or not at all. */
export type Outcome = { happenings: readonly Happening[]; snapshots: readonly Snapshot[] };
