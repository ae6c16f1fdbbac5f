/** What differs from household to household and from probe to probe: the spans that the dice are thrown in. */
type Span = readonly [number, number];

export type World = {
  /** Hour of the day and its scatter, of each milking. */
  milkings: readonly Span[];
  errandEveryS: Span;
  /** Errands end this long before a milking. */
  beforeMilkingS: number;
  /** Nothing is done at night. */
  sleeps: boolean;
  stayS: Span;
  /** The share of jars that keep the probe until the next one. */
  staysToNext: number;
  /** The share of jars after which the same probe goes straight into the next one, and how long after. */
  secondJar: number;
  secondJarS: Span;
  milkC: Span;
  /** The share of jars that the milk is poured into over the probe, s. */
  pours: number;
  pourS: Span;
  /** How much of the way from the room to the skin a pocket is warm. */
  pocketShare: Span;
  skinC: Span;
  skinGrip: Span;
  rinseGrip: Span;
  lagS: Span;
  airSlowness: Span;
  inside: Span;
  /** How long a wet sheath takes to dry, s; below 0 water leaves no mark on it. */
  driesS: Span;
  noiseC: Span;
  everyS: readonly number[];
  stepC: readonly number[];
};

/** Two milkings a day, a probe of any make: what the figures are counted on. */
export const everydayWorld: World = {
  milkings: [
    [6.5, 0.4],
    [17.5, 0.5],
  ],
  errandEveryS: [600, 20_000],
  beforeMilkingS: 1200,
  sleeps: true,
  stayS: [2400, 20_000],
  staysToNext: 0.3,
  secondJar: 0.1,
  secondJarS: [900, 6000],
  milkC: [29.5, 38.5],
  pours: 0.1,
  pourS: [4, 20],
  pocketShare: [0.75, 0.75],
  skinC: [28, 35],
  skinGrip: [0.15, 0.7],
  rinseGrip: [1.2, 2.5],
  lagS: [4, 60],
  airSlowness: [7, 16],
  inside: [0.25, 0.25],
  driesS: [150, 150],
  noiseC: [0.03, 0.1],
  everyS: [1, 2, 5, 10, 15, 30],
  stepC: [0.0625, 0.1, 0.125, 0.25, 0.5],
};

/** Days without rest and wider spans of everything: what the judge of starts learns from. */
export const denseWorld: World = {
  milkings: Array.from({ length: 14 }, (_, place) => [0.5 + place * 1.65, 0.2] as const),
  errandEveryS: [150, 2500],
  beforeMilkingS: 60,
  sleeps: false,
  stayS: [400, 4000],
  staysToNext: 0.25,
  secondJar: 0.3,
  secondJarS: [330, 3000],
  milkC: [28.3, 38.9],
  pours: 0.3,
  pourS: [3, 30],
  pocketShare: [0.45, 0.95],
  skinC: [25, 36],
  skinGrip: [0.1, 1],
  rinseGrip: [0.9, 3],
  lagS: [2.5, 75],
  airSlowness: [4, 24],
  inside: [0.02, 0.4],
  driesS: [-120, 300],
  noiseC: [0.005, 0.12],
  everyS: [1, 2, 3, 5, 7, 10, 15, 20, 30],
  stepC: [0.01, 0.0625, 0.1, 0.125, 0.25, 0.5],
};
