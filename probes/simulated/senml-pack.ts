/** Readings of simulated probes as SenML (RFC 8428) JSON with absolute times. */

/** A stamped reading, °C as read. */
export type StampedReading = { probe: string; atMs: number; tempC: number };

/** Readings that travel in one message at most; more go in the next. */
export const packMax = 30;
/** A message spans less than this, so that the probes' pasts keep pace with each other. */
export const packSpanMs = 60_000;

/** Groups readings, given in order of instants, into messages of one probe each; each probe's order is kept. */
export function packsOf<R extends StampedReading>(readings: readonly R[]): R[][] {
  const packs: R[][] = [];
  const growing = new Map<string, R[]>();
  for (const reading of readings) {
    const pack = growing.get(reading.probe);
    const first = pack?.[0];
    if (pack && first && pack.length < packMax && reading.atMs - first.atMs < packSpanMs) {
      pack.push(reading);
    } else {
      const fresh = [reading];
      growing.set(reading.probe, fresh);
      packs.push(fresh);
    }
  }
  return packs;
}

/** Returns one SenML pack: a record a reading, `n` the probe, `t` in seconds since 1970 with three decimals. */
export function senmlOf(readings: readonly StampedReading[]): string {
  return JSON.stringify(
    readings.map((reading) => ({ n: reading.probe, u: 'Cel', v: reading.tempC, t: reading.atMs / 1000 })),
  );
}
