import type { Refusal } from '../../probes/source.ts';
import type { ProbeCounts } from '../../shared/contract/api.ts';

/** What was taken and what was not, by probe; nothing is dropped without a count. */
export type Counts = {
  of(probe: string): ProbeCounts;
  add(probe: string, what: keyof ProbeCounts, many?: number): void;
  refuse(refusal: Refusal): void;
  /** The newest refusals, oldest first, for a person to look at. */
  refusals(): readonly Refusal[];
};

/** Refusals that are kept to be shown; older ones are only counted. */
export const refusalsShownMax = 50;
/** Probes that are counted by name; those beyond are counted together under `*`. */
export const countedProbesMax = 2_000;

export function openCounts(): Counts {
  const byProbe = new Map<string, ProbeCounts>();
  const shown: Refusal[] = [];
  const countsOf = (probe: string): ProbeCounts => {
    const name = byProbe.has(probe) || byProbe.size < countedProbesMax ? probe : '*';
    let counts = byProbe.get(name);
    if (counts === undefined) {
      counts = { taken: 0, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 };
      byProbe.set(name, counts);
    }
    return counts;
  };
  return {
    of: (probe) => ({ ...(byProbe.get(probe) ?? noCounts) }),
    add: (probe, what, many = 1) => {
      countsOf(probe)[what] += many;
    },
    refuse: (refusal) => {
      countsOf(refusal.probe ?? '*').refused += 1;
      shown.push(refusal);
      if (shown.length > refusalsShownMax) shown.shift();
    },
    refusals: () => shown,
  };
}

const noCounts: ProbeCounts = { taken: 0, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 };
