/** What an inspection found of one thing, and what a person does about it. */
export type Finding = {
  thing: string;
  /** `well`, `look` where somebody should, `wrong` where the house cannot do its work by it. */
  state: 'well' | 'look' | 'wrong';
  says: string;
  /** What to do; empty where all is well. */
  doThis: string;
};

export function well(thing: string, says: string): Finding {
  return { thing, state: 'well', says, doThis: '' };
}

export function look(thing: string, says: string, doThis: string): Finding {
  return { thing, state: 'look', says, doThis };
}

export function wrong(thing: string, says: string, doThis: string): Finding {
  return { thing, state: 'wrong', says, doThis };
}

/** Returns findings as lines for a terminal, what to do under each. */
export function findingLines(findings: readonly Finding[]): string[] {
  const width = Math.max(0, ...findings.map(({ thing }) => thing.length));
  return findings.flatMap(({ thing, state, says, doThis }) => [
    `${state.padEnd(5)}  ${thing.padEnd(width)}  ${says}`,
    ...(doThis === '' ? [] : [`${' '.repeat(5)}  ${' '.repeat(width)}  ${doThis}`]),
  ]);
}
