/** What a chill forecast remembers of its readings: bins in data time, bounded for any length of watch. */

/**
 * One bin of a trace, whole numbers only so that sums do not depend on the order of readings:
 * [index, count, sum of m°C, least m°C, most m°C, sum of offsets in the bin in ms, last offset in ms].
 */
export type TraceBin = [number, number, number, number, number, number, number];

/** Everything that a chill forecast knows: plain JSON, at most 16 KB however long the watch lasts. */
export type ChillTrace = {
  v: 1;
  seed: string;
  /** The instant where bin 0 begins; null before the first reading. */
  originMs: number | null;
  widthMs: number;
  bins: TraceBin[];
  aroundWidthMs: number;
  around: TraceBin[];
};

/** Bins of milk kept; when one more is needed all are made twice as wide. */
export const traceBinsMax = 200;
/** Bins of the surroundings kept; when one more is needed all are made twice as wide. */
export const aroundBinsMax = 40;
/** Readings outside these temperatures, °C, are a broken wire and not milk: they are left out. */
export const readableC = { least: -45, most: 110 } as const;
/** How far before the first reading a late one may lie; older ones are left out. */
export const lateSpanMsMax = 3_600_000;

const firstWidthMs = 10_000;
const firstAroundWidthMs = 60_000;

/** Opens an empty trace; `seed` belongs to the watch and is kept with it. */
export function openChillTrace(seed: string): ChillTrace {
  return {
    v: 1,
    seed,
    originMs: null,
    widthMs: firstWidthMs,
    bins: [],
    aroundWidthMs: firstAroundWidthMs,
    around: [],
  };
}

/**
 * Takes over `trace` and returns it with one reading more; order does not matter. `around` marks a reading
 * of the surroundings. What is no temperature, or lies an hour before the first reading, is left out.
 */
export function feedChill(
  trace: ChillTrace,
  reading: { atMs: number; tempC: number; around?: boolean },
): ChillTrace {
  const { atMs, tempC } = reading;
  if (!(tempC >= readableC.least && tempC <= readableC.most) || !Number.isFinite(atMs)) return trace;
  trace.originMs ??= Math.floor(atMs / firstAroundWidthMs) * firstAroundWidthMs;
  if (atMs < trace.originMs - lateSpanMsMax) return trace;
  const offsetMs = atMs - trace.originMs;
  if (reading.around === true) {
    put(trace.around, trace.aroundWidthMs, offsetMs, tempC);
    if (trace.around.length > aroundBinsMax) {
      trace.around = widen(trace.around, trace.aroundWidthMs);
      trace.aroundWidthMs *= 2;
    }
    return trace;
  }
  put(trace.bins, trace.widthMs, offsetMs, tempC);
  if (trace.bins.length > traceBinsMax) {
    trace.bins = widen(trace.bins, trace.widthMs);
    trace.widthMs *= 2;
  }
  return trace;
}

function put(bins: TraceBin[], widthMs: number, offsetMs: number, tempC: number): void {
  const index = Math.floor(offsetMs / widthMs);
  const milliC = Math.round(tempC * 1000);
  const within = offsetMs - index * widthMs;
  let place = bins.length;
  while (place > 0 && (bins[place - 1] as TraceBin)[0] > index) place--;
  const bin = bins[place - 1];
  if (bin === undefined || bin[0] !== index) {
    bins.splice(place, 0, [index, 1, milliC, milliC, milliC, within, within]);
    return;
  }
  bin[1] += 1;
  bin[2] += milliC;
  bin[3] = Math.min(bin[3], milliC);
  bin[4] = Math.max(bin[4], milliC);
  bin[5] += within;
  bin[6] = Math.max(bin[6], within);
}

function widen(bins: readonly TraceBin[], widthMs: number): TraceBin[] {
  const wide: TraceBin[] = [];
  for (const [index, count, sum, least, most, offsets, last] of bins) {
    const half = Math.floor(index / 2);
    const shift = (index - half * 2) * widthMs;
    const bin = wide[wide.length - 1];
    if (bin === undefined || bin[0] !== half) {
      wide.push([half, count, sum, least, most, offsets + shift * count, last + shift]);
      continue;
    }
    bin[1] += count;
    bin[2] += sum;
    bin[3] = Math.min(bin[3], least);
    bin[4] = Math.max(bin[4], most);
    bin[5] += offsets + shift * count;
    bin[6] = Math.max(bin[6], last + shift);
  }
  return wide;
}

/** A point of a trace: minutes after the question's `sinceMs`, °C without the bin's extremes, and its count. */
export type TracePoint = { tMin: number; tempC: number; count: number };

/**
 * Returns the points of bins that lie wholly in (`fromMs`, `toMs`] in order of time, minutes counted from
 * `sinceMs`. Of three or more readings in a bin the least and the most are left out: one outlier does nothing.
 */
export function tracePoints(
  trace: ChillTrace,
  span: { fromMs: number; toMs: number; sinceMs: number; around?: boolean },
): TracePoint[] {
  if (trace.originMs === null) return [];
  const widthMs = span.around === true ? trace.aroundWidthMs : trace.widthMs;
  const points: TracePoint[] = [];
  for (const [index, count, sum, least, most, offsets, last] of span.around === true
    ? trace.around
    : trace.bins) {
    const startMs = trace.originMs + index * widthMs;
    if (startMs + last > span.toMs) break;
    const meanMs = startMs + offsets / count;
    if (meanMs < span.fromMs) continue;
    const kept = count >= 3 ? (sum - least - most) / (count - 2) : sum / count;
    points.push({ tMin: (meanMs - span.sinceMs) / 60_000, tempC: kept / 1000, count });
  }
  return points;
}

/** Returns the instant of the last reading of the milk at or before `atMs`; null where there is none. */
export function lastReadingMs(trace: ChillTrace, atMs: number): number | null {
  for (let place = trace.bins.length - 1; place >= 0; place--) {
    const bin = trace.bins[place] as TraceBin;
    const lastMs = (trace.originMs as number) + bin[0] * trace.widthMs + bin[6];
    if (lastMs <= atMs) return lastMs;
  }
  return null;
}
