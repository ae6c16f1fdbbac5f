/** Readings of simulated probes as SenML (RFC 8428) JSON with absolute times. */

/** A stamped reading, °C as read. */
export type StampedReading = { probe: string; atMs: number; tempC: number };

/** Readings that travel in one message at most; more go in the next. */
export const packMax = 30;
/** A message spans less than this, so that the probes' pasts keep pace with each other. */
export const packSpanMs = 60_000;

/** What travels in one message; never empty. */
export type Pack<R extends StampedReading> = { probe: R['probe']; readings: R[] };

/** Groups readings, given in order of instants, into messages of one probe each; each probe's order is kept. */
export function packsOf<R extends StampedReading>(readings: readonly R[]): Pack<R>[] {
  const packs: Pack<R>[] = [];
  const growing = new Map<string, { pack: Pack<R>; firstMs: number }>();
  for (const reading of readings) {
    const { probe, atMs } = reading;
    const open = growing.get(probe);
    if (open && open.pack.readings.length < packMax && atMs - open.firstMs < packSpanMs) {
      open.pack.readings.push(reading);
      continue;
    }
    const pack: Pack<R> = { probe, readings: [reading] };
    growing.set(probe, { pack, firstMs: atMs });
    packs.push(pack);
  }
  return packs;
}

/** Returns one SenML pack: a record a reading, `n` the probe, `t` in seconds since 1970 with three decimals. */
export function senmlOf(readings: readonly StampedReading[]): string {
  return JSON.stringify(
    readings.map((reading) => ({ n: reading.probe, u: 'Cel', v: reading.tempC, t: reading.atMs / 1000 })),
  );
}
