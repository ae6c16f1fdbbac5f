/** Seeded randomness of the everyday simulator: the same seed gives the same days. */
export type Dice = {
  /** From 0 to under 1. */
  next(): number;
  between(least: number, most: number): number;
  /** Evenly on a logarithmic scale: small ones as likely as large ones. */
  spread(least: number, most: number): number;
  normal(mean: number, deviation: number): number;
  chance(share: number): boolean;
  pick<T>(choices: readonly T[]): T;
};

/** Returns dice for a seed (sfc32 by Chris Doty-Humphrey, public domain, warmed up by 20 throws). */
export function openDice(seed: number): Dice {
  let a = seed | 0;
  let b = 0x9e3779b9 ^ seed;
  let c = 0x243f6a88;
  let counter = 1;
  const next = () => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    c |= 0;
    return (sum >>> 0) / 4294967296;
  };
  for (let warmUp = 0; warmUp < 20; warmUp += 1) next();
  const between = (least: number, most: number) => least + next() * (most - least);
  return {
    next,
    between,
    spread: (least, most) => Math.exp(between(Math.log(least), Math.log(most))),
    normal: (mean, deviation) =>
      mean + deviation * Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    chance: (share) => next() < share,
    pick: (choices) => {
      const picked = choices[Math.floor(next() * choices.length)];
      if (picked === undefined) throw new Error('EVERYDAY_PICK: choices must be at least one, got none.');
      return picked;
    },
  };
}
