/** Eras: one run of the daemon between two steps of its clock, on a steady clock whose offset may be learned later. */

/** An era as it begins: UTC = steady + `offsetMs`, as well as is known; `startedMs` is UTC by that offset. */
export type EraStart = { offsetMs: number; known: boolean; startedMs: number };

/** What the offset of an era turned out to be; `known` means that the system said it was synchronised. */
export type EraLearned = { era: number; offsetMs: number; known: boolean };
