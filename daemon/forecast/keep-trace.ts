/** What a keep remembers of its probe: minutes, the turns of its cycle, hours and days. Plain JSON, bounded. */

/** One rise of the floor between two turns: the cooling was off, or it defrosted. */
export type Rise = {
  atMin: number;
  spanMin: number;
  fromC: number;
  toC: number;
  /** The most that the air rose within three minutes as it began: where a compressor stops, it springs back. */
  springC: number;
  /** How fast it rose at its end, °C a minute. */
  pacePerMin: number;
  /** Where the floor was `restMin` after its trough, °C. */
  restC: number;
};

/** Minutes since 1970 stand for instants; a shifted clock may make them broken. */
export type KeepTrace = {
  /** The minute being filled. */
  open: { min: number; sumC: number; count: number } | null;
  /** [minute, mean °C], oldest first. */
  bins: [number, number][];
  /** How much neighbouring minutes waver, °C. */
  noiseC: number;
  /** How far its larger rises go, °C: what is small against them is no turn. */
  swingC: number;
  /** The lowest of the last `floorMin` minutes, °C: a door that was shut again is not in it. */
  floorC: number;
  /** Which way the floor goes since `turn`; null before the first turn. */
  rising: boolean | null;
  /** The last turning point of the floor, and the furthest point since. */
  turn: [number, number];
  peak: [number, number];
  springC: number;
  pacePerMin: number;
  restC: number | null;
  rises: Rise[];
  /** Spans of falls, minutes. */
  fallsMin: number[];
  /** [hour, mean of the floor °C, bins], oldest first. */
  hours: [number, number, number][];
  /** [day, mean °C, share of time falling, bins], oldest first. */
  days: [number, number, number, number][];
  firstMin: number | null;
};

/** The air comes back from a door that was shut again within so long, minutes. */
export const floorMin = 8;
/** After its trough the air has sprung back within so long, minutes. */
export const restMin = 18;
/** Minutes kept; the oldest go first. */
export const binsMax = 100;
/** Rises and falls kept. */
export const risesMax = 32;
export const hoursMax = 72;
export const daysMax = 16;
/** What is further from the minute before than this is a slip of the sensor unless it stays. */
const noiseFade = 0.03;

/** Returns a trace before the first reading. */
export function openKeepTrace(): KeepTrace {
  return {
    open: null,
    bins: [],
    noiseC: 0.05,
    swingC: 0,
    floorC: 0,
    rising: null,
    turn: [0, 0],
    peak: [0, 0],
    springC: 0,
    pacePerMin: 0,
    restC: null,
    rises: [],
    fallsMin: [],
    hours: [],
    days: [],
    firstMin: null,
  };
}

/**
 * Takes over `trace` with one reading and returns whether that closed a minute; a reading of an older minute
 * is passed over.
 */
export function feedKeepTrace(trace: KeepTrace, reading: { atMs: number; tempC: number }): boolean {
  const min = Math.floor(reading.atMs / 60_000);
  const { open } = trace;
  if (open !== null && min < open.min) return false;
  if (open !== null && min === open.min) {
    open.sumC += reading.tempC;
    open.count += 1;
    return false;
  }
  trace.open = { min, sumC: reading.tempC, count: 1 };
  trace.firstMin ??= min;
  if (open === null) return false;
  closeBin(trace, open.min, Math.round((open.sumC / open.count) * 1000) / 1000);
  return true;
}

/** Takes over `trace` with every instant later by `deltaMs`. */
export function shiftKeepTrace(trace: KeepTrace, deltaMs: number): KeepTrace {
  const by = deltaMs / 60_000;
  return {
    ...trace,
    open: null,
    bins: trace.bins.map(([min, tempC]) => [min + by, tempC]),
    turn: [trace.turn[0] + by, trace.turn[1]],
    peak: [trace.peak[0] + by, trace.peak[1]],
    rises: trace.rises.map((rise) => ({ ...rise, atMin: rise.atMin + by })),
    firstMin: trace.firstMin === null ? null : trace.firstMin + by,
  };
}

/** The mean of the minutes within `spanMin` of the newest, and how fast they rise, °C a minute; null where fewer than two. */
export function lately(trace: KeepTrace, spanMin: number): { meanC: number; perMin: number } | null {
  const { bins } = trace;
  const newest = bins.at(-1);
  if (newest === undefined) return null;
  let count = 0;
  let sumT = 0;
  let sumC = 0;
  let sumTT = 0;
  let sumTC = 0;
  for (let place = bins.length - 1; place >= 0; place--) {
    const [min, tempC] = bins[place] as [number, number];
    const ago = min - newest[0];
    if (-ago > spanMin) break;
    count += 1;
    sumT += ago;
    sumC += tempC;
    sumTT += ago * ago;
    sumTC += ago * tempC;
  }
  const spread = sumTT - (sumT * sumT) / count;
  if (count < 2 || spread <= 0) return null;
  return { meanC: sumC / count, perMin: (sumTC - (sumT * sumC) / count) / spread };
}

/** How far a turn must come back to be one, °C. */
export function turnC(trace: KeepTrace): number {
  return Math.max(0.3, 6 * trace.noiseC, 0.3 * trace.swingC);
}

function closeBin(trace: KeepTrace, min: number, tempC: number): void {
  const { bins } = trace;
  const before = bins.at(-1);
  const older = bins.at(-2);
  if (before !== undefined && older !== undefined && min - older[0] <= 4) {
    const bend = Math.abs(before[1] - (older[1] + tempC) / 2);
    trace.noiseC += (Math.min(bend, 4 * trace.noiseC + 0.02) - trace.noiseC) * noiseFade;
  }
  bins.push([min, tempC]);
  if (bins.length > binsMax) bins.shift();
  trace.floorC = floorIn(trace, 0, floorMin - 0.5);
  follow(trace, min, trace.floorC);
  addToHour(trace, min, trace.floorC);
  addToDay(trace, min, tempC);
}

/** Follows the turns of the floor: a point that comes back from the furthest by `turnC` ends a rise or a fall. */
function follow(trace: KeepTrace, min: number, floorC: number): void {
  if (trace.rising === null) {
    if (trace.bins.length === 1) trace.turn = [min, floorC];
    if (Math.abs(floorC - trace.turn[1]) < turnC(trace)) return;
    trace.rising = floorC > trace.turn[1];
    trace.peak = [min, floorC];
    return;
  }
  if (trace.rising && min - trace.turn[0] >= restMin) trace.restC ??= floorC;
  const further = trace.rising ? floorC >= trace.peak[1] : floorC <= trace.peak[1];
  if (further) {
    trace.peak = [min, floorC];
    if (trace.rising) trace.pacePerMin = (floorIn(trace, 0, 4) - floorIn(trace, 10, 14)) / 10;
    return;
  }
  if (Math.abs(floorC - trace.peak[1]) < turnC(trace)) return;
  if (trace.rising) endRise(trace);
  else {
    trace.fallsMin.push(trace.peak[0] - trace.turn[0]);
    if (trace.fallsMin.length > risesMax) trace.fallsMin.shift();
    trace.springC = springOf(trace, trace.peak[0]);
  }
  trace.rising = !trace.rising;
  trace.turn = trace.peak;
  trace.peak = [min, floorC];
  trace.pacePerMin = 0;
  trace.restC = null;
}

function endRise(trace: KeepTrace): void {
  const { turn, peak, springC, pacePerMin, restC } = trace;
  trace.rises.push({
    atMin: turn[0],
    spanMin: peak[0] - turn[0],
    fromC: turn[1],
    toC: peak[1],
    springC: Math.round(springC * 100) / 100,
    pacePerMin: Math.round(pacePerMin * 1e4) / 1e4,
    restC: restC ?? peak[1],
  });
  if (trace.rises.length > risesMax) trace.rises.shift();
  const sizes = trace.rises.map(({ fromC, toC }) => toC - fromC).sort((a, b) => a - b);
  trace.swingC = sizes.length < 6 ? 0 : Math.min(6, sizes[Math.floor(sizes.length / 2)] as number);
}

/** The most that the air rose within three minutes since the floor's trough, °C; the floor is behind by its span. */
function springOf({ bins }: KeepTrace, troughMin: number): number {
  const since = bins.filter(([min]) => min >= troughMin - floorMin);
  let mostC = 0;
  for (const [min, tempC] of since)
    for (const [before, beforeC] of since)
      if (before < min && min - before <= 3.5) mostC = Math.max(mostC, tempC - beforeC);
  return mostC;
}

/** How fast the lowest of some minutes rises, °C an hour: doors that were shut again do not count. */
export function floorPace(trace: KeepTrace): number {
  return ((floorIn(trace, 0, 8) - floorIn(trace, 16, 24)) / 16) * 60;
}

/** The lowest of the minutes between so long ago and so long ago, °C: doors that were shut again are not in it. */
export function floorIn(trace: KeepTrace, fromAgo: number, toAgo: number): number {
  const { bins } = trace;
  const newest = (bins.at(-1) as [number, number])[0];
  let leastC = Number.POSITIVE_INFINITY;
  for (let place = bins.length - 1; place >= 0; place--) {
    const [min, tempC] = bins[place] as [number, number];
    if (newest - min > toAgo) break;
    if (newest - min >= fromAgo) leastC = Math.min(leastC, tempC);
  }
  return leastC === Number.POSITIVE_INFINITY ? (bins.at(-1) as [number, number])[1] : leastC;
}

/** How much the newest minute is above the lowest of the `spanMin` before it, °C. */
export function roseIn(trace: KeepTrace, spanMin: number): number {
  const newest = trace.bins.at(-1);
  if (newest === undefined) return 0;
  let leastC = newest[1];
  for (let place = trace.bins.length - 2; place >= 0; place--) {
    const [min, tempC] = trace.bins[place] as [number, number];
    if (newest[0] - min > spanMin + 0.5) break;
    leastC = Math.min(leastC, tempC);
  }
  return newest[1] - leastC;
}

function addToHour(trace: KeepTrace, min: number, tempC: number): void {
  const hour = Math.floor(min / 60);
  const last = trace.hours.at(-1);
  if (last !== undefined && last[0] === hour) {
    last[2] += 1;
    last[1] = last[1] + (tempC - last[1]) / last[2];
    return;
  }
  if (last !== undefined) last[1] = Math.round(last[1] * 1000) / 1000;
  trace.hours.push([hour, tempC, 1]);
  if (trace.hours.length > hoursMax) trace.hours.shift();
}

function addToDay(trace: KeepTrace, min: number, tempC: number): void {
  const day = Math.floor(min / 1440);
  const falls = trace.rising === false ? 1 : 0;
  const last = trace.days.at(-1);
  if (last !== undefined && last[0] === day) {
    last[3] += 1;
    last[1] += (tempC - last[1]) / last[3];
    last[2] += (falls - last[2]) / last[3];
    return;
  }
  if (last !== undefined) {
    last[1] = Math.round(last[1] * 1000) / 1000;
    last[2] = Math.round(last[2] * 1000) / 1000;
  }
  trace.days.push([day, tempC, falls, 1]);
  if (trace.days.length > daysMax) trace.days.shift();
}
