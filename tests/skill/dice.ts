/** Seeded chance for populations: the same seed gives the same jars. */

/** Draws from one stream of chance. */
export type Dice = {
  /** In [0, 1). */
  share(): number;
  between(least: number, most: number): number;
  /** Evenly in the logarithm. */
  logBetween(least: number, most: number): number;
  normal(): number;
  happens(chance: number): boolean;
  /** One of the keys, as often as its weight says. */
  pick<K extends string>(weights: Readonly<Record<K, number>>): K;
};

/** Opens a stream (sfc32 by C. Doty-Humphrey) seeded by two whole numbers. */
export function openDice(seed: number, stream: number): Dice {
  let a = seed | 0;
  let b = stream | 0;
  let c = 0x9e3779b9 | 0;
  let counter = 1;
  const share = () => {
    const sum = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    return (sum >>> 0) / 4294967296;
  };
  for (let warm = 0; warm < 15; warm++) share();
  const between = (least: number, most: number) => least + (most - least) * share();
  return {
    share,
    between,
    logBetween: (least, most) => Math.exp(between(Math.log(least), Math.log(most))),
    normal: () => Math.sqrt(-2 * Math.log(1 - share())) * Math.cos(2 * Math.PI * share()),
    happens: (chance) => share() < chance,
    pick: (weights) => {
      const entries = Object.entries(weights) as [keyof typeof weights, number][];
      let rest = share() * entries.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [key, weight] of entries) {
        rest -= weight;
        if (rest < 0) return key;
      }
      return (entries[entries.length - 1] as [keyof typeof weights, number])[0];
    },
  };
}
