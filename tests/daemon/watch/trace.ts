/** Traces for tests of the watching: Newton's cooling with a probe's lag, from a seed. */
import { openRandom } from '../../../probes/simulated/random.ts';

export type TraceOptions = {
  /** Minutes on the bench before the milk goes in; the probe then shows the room. */
  beforeMin?: number;
  roomC?: number;
  startC?: number;
  aroundC: number;
  /** Newton's time constant, minutes. */
  tauMin: number;
  minutes: number;
  everyMs?: number;
  lagS?: number;
  noiseC?: number;
  seed?: number;
  startMs?: number;
};

/** Milk by Newton's law of cooling seen through a first-order probe, quantised to 1/16 °C. */
export function milkTrace(options: TraceOptions): { atMs: number; tempC: number; milkC: number | null }[] {
  const { beforeMin = 0, roomC = 20, startC = 36, aroundC, tauMin, minutes } = options;
  const {
    everyMs = 2_000,
    lagS = 12,
    noiseC = 0.04,
    seed = 1,
    startMs = Date.UTC(2026, 3, 18, 6, 40),
  } = options;
  const random = openRandom(seed, 'trace');
  const rows: { atMs: number; tempC: number; milkC: number | null }[] = [];
  const inMs = startMs + beforeMin * 60_000;
  let probeC = beforeMin > 0 ? roomC : startC;
  for (let atMs = startMs; atMs <= inMs + minutes * 60_000; atMs += everyMs) {
    const milkC =
      atMs < inMs ? null : aroundC + (startC - aroundC) * Math.exp(-(atMs - inMs) / 60_000 / tauMin);
    probeC += ((milkC ?? roomC) - probeC) * (1 - Math.exp(-everyMs / 1000 / lagS));
    rows.push({ atMs, tempC: Math.round((probeC + noiseC * random.gaussian()) * 16) / 16, milkC });
  }
  return rows;
}
