/**
 * Two stories that may explain a probe's last minutes. *Milk*: a probe came into a jar of one temperature,
 * which stood for a while and then cooled, no faster than milk can. *Touch*: the probe was in something warm
 * for a while (a rinse, a hand, a sink) and has since been cooling alone in air. Both are fitted by least
 * squares over a grid; the one that leaves less unexplained is believed.
 *
 * A probe is two bodies in a row, sheath and sensor, each of first order; what it reads is a mean of what it
 * read before and of the temperatures around it since, with weights that follow from the lags alone.
 */

/** Readings since a probe may have come into milk: seconds from then and °C, thinned. */
export type Minutes = {
  /** What the probe read just before. */
  beforeC: number;
  atS: number[];
  tempC: number[];
  /** What each counts: the first seconds less, where every probe is a little different. */
  weight: number[];
};

/** The jar that would explain the minutes best. */
export type MilkStory = {
  /** The milk when the probe came in. */
  milkC: number;
  /** The probe's lag in it: sheath and sensor together. */
  lagS: number;
  /** How long the milk takes to lose 63 % of its distance to `towardsC`, once it cools. */
  coolingS: number;
  towardsC: number;
  /** How long after the reading before the probe came in. */
  lateS: number;
  /** Root mean square of what is left unexplained, °C. */
  missC: number;
};

/** The touch that would explain the minutes best. */
export type TouchStory = { touchedC: number; touchS: number; airLagS: number; airC: number; missC: number };

/** A span of °C that something must lie in. */
export type SpanC = { leastC: number; mostC: number };

/** Probe lags tried; sheaths that people clip into jars take 4–60 s to 63 %. The slowest are probes in air. */
const lagsS = [3, 6, 10, 16, 24, 34, 47, 62, 80, 110];
/** What share of the lag is the sensor's inside its sheath: nearly none where it is bare. */
const insideShares = [0.01, 0.25];
/** Jars in air, from a large one on the table to a small one in a fan freezer; they stand from the start. */
const slowCoolingsS = [30_000, 9000, 4000, 1800];
const slowTowards: SpanC = { leastC: -22, mostC: 28 };
/** Jars in baths, down to 0.2 L in stirred ice, and when they were put in. */
const fastCoolingsS = [1800, 1000, 600, 360, 220];
const fastTowards: SpanC = { leastC: -2, mostC: 18 };
const benchesS = [0, 30, 60, 95, 140];
const coolings = [
  ...slowCoolingsS.map((coolingS) => ({ coolingS, bench: 0, towards: slowTowards })),
  ...fastCoolingsS.flatMap((coolingS) =>
    benchesS.map((_, bench) => ({ coolingS, bench, towards: fastTowards })),
  ),
];
type Cooling = (typeof coolings)[number];
const coarseCoolings = coolings.filter(({ bench }) => bench === 0);

/** How long something warm may have been touched, and how much slower than there the probe is in air. */
const touchesS = [5, 12, 22, 36, 55, 80, 115];
const touchLagsS = [3, 6, 11, 18, 28, 42, 62, 90];
const airSlownesses = [2, 4, 7, 11, 16];
const touchSpan: SpanC = { leastC: 20, mostC: 90 };

/** Returns the one jar of milk that explains the minutes best. */
export function explainAsMilk(minutes: Minutes): MilkStory {
  const best: MilkStory = {
    milkC: minutes.beforeC,
    lagS: 0,
    coolingS: 0,
    towardsC: 0,
    lateS: 0,
    missC: Infinity,
  };
  for (const lateS of latesS(minutes)) explainFrom(best, minutes, lateS);
  return best;
}

/** When the probe may have come in after the reading before: only where readings are far apart does it matter. */
function latesS(minutes: Minutes): number[] {
  const nextS = minutes.atS[0] ?? 0;
  return nextS < 8 ? [0] : [0, 0.45 * nextS, 0.8 * nextS];
}

function explainFrom(best: MilkStory, minutes: Minutes, lateS: number): void {
  const since = benchesS.map((benchS) => minutes.atS.map((atS) => Math.max(0, atS - benchS - lateS)));
  const decays = new Map(
    [...slowCoolingsS, ...fastCoolingsS].map((coolingS) => [coolingS, since.map((s) => decay(s, coolingS))]),
  );
  const search = (lags: number[], tried: Cooling[]) => {
    for (const lagS of lags) {
      for (const inside of insideShares)
        tryMilk(best, { minutes, since, decays, lagS, lateS, inside, tried });
    }
  };
  search(lagsS, coarseCoolings);
  const near = lagsS.indexOf(best.lagS);
  search(lagsS.slice(Math.max(0, near - 1), near + 2), coolings);
}

type MilkSearch = {
  minutes: Minutes;
  /** Seconds since the milk cools, by bench. */
  since: number[][];
  /** By cooling and bench. */
  decays: Map<number, Float64Array[]>;
  lagS: number;
  lateS: number;
  inside: number;
  tried: Cooling[];
};

function tryMilk(best: MilkStory, search: MilkSearch): void {
  const { minutes, since, lagS, inside } = search;
  const sheathS = lagS * (1 - inside);
  const sensorS = lagS * inside;
  const sheath = since.map((s) => decay(s, sheathS));
  const sensor = since.map((s) => decay(s, sensorS));
  for (const { coolingS, bench, towards } of search.tried) {
    const sums = sumsOfMilk(minutes, {
      arrived: [sheath[0], sensor[0]],
      cooling: [search.decays.get(coolingS)?.[bench], sheath[bench], sensor[bench]],
      coolingS,
      sheathS,
      sensorS,
    });
    const fit = solveTwo(sums, towards);
    if (fit.missC >= best.missC) continue;
    Object.assign(best, {
      milkC: fit.firstC,
      towardsC: fit.secondC,
      missC: fit.missC,
      lagS,
      coolingS,
      lateS: search.lateS,
    });
  }
}

/** Returns e^(-t/lag) at each instant. */
function decay(atS: readonly number[], lagS: number): Float64Array {
  const left = new Float64Array(atS.length);
  for (let index = 0; index < left.length; index += 1) left[index] = Math.exp(-(atS[index] ?? 0) / lagS);
  return left;
}

/** The normal equations of two unknowns, `first` and `second`. */
type Sums = { ff: number; fs: number; ss: number; fy: number; sy: number; yy: number; count: number };

/**
 * The reading's weights: `second` of what the milk cools towards, `first` of the fresh milk, the rest of what
 * was read before. By partial fractions of two first-order bodies under a step and under an exponential.
 */
function sumsOfMilk(
  minutes: Minutes,
  given: {
    arrived: [Float64Array | undefined, Float64Array | undefined];
    cooling: [Float64Array | undefined, Float64Array | undefined, Float64Array | undefined];
    coolingS: number;
    sheathS: number;
    sensorS: number;
  },
): Sums {
  const { coolingS, sheathS, sensorS } = given;
  const [arrivedSheath, arrivedSensor] = given.arrived;
  const [cooling, sheath, sensor] = given.cooling;
  const apart = sheathS - sensorS;
  const ofCooling = coolingS ** 2 / ((coolingS - sheathS) * (coolingS - sensorS));
  const ofSheath = (coolingS * sheathS) / (apart * (sheathS - coolingS));
  const ofSensor = (coolingS * sensorS) / (-apart * (sensorS - coolingS));
  const sums = { ff: 0, fs: 0, ss: 0, fy: 0, sy: 0, yy: 0, count: 0 };
  for (let index = 0; index < minutes.tempC.length; index += 1) {
    const left = (sheathS * (arrivedSheath?.[index] ?? 0) - sensorS * (arrivedSensor?.[index] ?? 0)) / apart;
    const a = sheath?.[index] ?? 0;
    const b = sensor?.[index] ?? 0;
    const standing = ofCooling * (cooling?.[index] ?? 0) + ofSheath * a + ofSensor * b;
    const second = 1 - (sheathS * a - sensorS * b) / apart - standing;
    addTo(
      sums,
      minutes.weight[index] ?? 1,
      1 - left - second,
      second,
      (minutes.tempC[index] ?? 0) - left * minutes.beforeC,
    );
  }
  return sums;
}

function addTo(sums: Sums, weight: number, first: number, second: number, targetC: number): void {
  sums.ff += weight * first * first;
  sums.fs += weight * first * second;
  sums.ss += weight * second * second;
  sums.fy += weight * first * targetC;
  sums.sy += weight * second * targetC;
  sums.yy += weight * targetC * targetC;
  sums.count += weight;
}

/** Least squares for two temperatures, the second within a span. */
function solveTwo(sums: Sums, span: SpanC): { firstC: number; secondC: number; missC: number } {
  const { ff, fs, ss, fy, sy, yy, count } = sums;
  const spread = ff * ss - fs * fs;
  const freeC = spread > 1e-9 * ff * ss ? (ff * sy - fs * fy) / spread : span.mostC;
  const secondC = Math.min(span.mostC, Math.max(span.leastC, freeC));
  const firstC = ff > 0 ? (fy - fs * secondC) / ff : 0;
  const left =
    yy -
    2 * (firstC * fy + secondC * sy) +
    firstC * firstC * ff +
    2 * firstC * secondC * fs +
    secondC * secondC * ss;
  return { firstC, secondC, missC: Math.sqrt(Math.max(0, left) / count) };
}

/** Returns the touch that explains the minutes best, with the air after it within `air` and a lag there of at most `airLagMostS`. */
export function explainAsTouch(minutes: Minutes, air: SpanC, airLagMostS: number): TouchStory {
  const best: TouchStory = { touchedC: 0, touchS: 0, airLagS: 0, airC: 0, missC: Infinity };
  const since = touchesS.map((touchS) => minutes.atS.map((atS) => Math.max(0, atS - touchS)));
  for (const lagS of touchLagsS) {
    for (const inside of insideShares) {
      const sensorS = lagS * inside;
      const sheath = decay(minutes.atS, lagS);
      const sensor = decay(minutes.atS, sensorS);
      for (const [touch, touchS] of touchesS.entries()) {
        const inAir = since[touch] ?? [];
        const sensorInAir = decay(inAir, sensorS);
        for (const slowness of airSlownesses) {
          const airLagS = lagS * slowness;
          if (airLagS > airLagMostS) continue;
          const sheathInAir = decay(inAir, airLagS);
          const sums = sumsOfTouch(minutes, {
            touchS,
            lagS,
            sensorS,
            airLagS,
            sheath,
            sensor,
            sheathInAir,
            sensorInAir,
          });
          const fit = solveTwo(sums, air);
          if (fit.missC >= best.missC || fit.firstC < touchSpan.leastC || fit.firstC > touchSpan.mostC)
            continue;
          Object.assign(best, {
            touchedC: fit.firstC,
            touchS,
            airLagS,
            airC: fit.secondC,
            missC: fit.missC,
          });
        }
      }
    }
  }
  return best;
}

/** The reading's weights: `first` of what was touched, `second` of the air, the rest of what was read before. */
function sumsOfTouch(
  minutes: Minutes,
  given: {
    touchS: number;
    lagS: number;
    sensorS: number;
    airLagS: number;
    sheath: Float64Array;
    sensor: Float64Array;
    sheathInAir: Float64Array;
    sensorInAir: Float64Array;
  },
): Sums {
  const { touchS, lagS, sensorS, airLagS, sheath, sensor, sheathInAir, sensorInAir } = given;
  const sheathAtEnd = 1 - Math.exp(-touchS / lagS);
  const sensorAtEnd =
    1 - (lagS * Math.exp(-touchS / lagS) - sensorS * Math.exp(-touchS / sensorS)) / (lagS - sensorS);
  const share = airLagS / (airLagS - sensorS);
  const sums = { ff: 0, fs: 0, ss: 0, fy: 0, sy: 0, yy: 0, count: 0 };
  for (let index = 0; index < minutes.tempC.length; index += 1) {
    let first: number;
    let second = 0;
    if ((minutes.atS[index] ?? 0) <= touchS) {
      first = 1 - (lagS * (sheath[index] ?? 0) - sensorS * (sensor[index] ?? 0)) / (lagS - sensorS);
    } else {
      const a = sheathInAir[index] ?? 0;
      const b = sensorInAir[index] ?? 0;
      first = sheathAtEnd * share * (a - b) + sensorAtEnd * b;
      second = 1 - (airLagS * a - sensorS * b) / (airLagS - sensorS);
    }
    addTo(
      sums,
      minutes.weight[index] ?? 1,
      first,
      second,
      (minutes.tempC[index] ?? 0) - (1 - first - second) * minutes.beforeC,
    );
  }
  return sums;
}
