/** What probes saw, as the readings they sent: every interval, through lag, noise and steps, from a seed. */
import { openRandom } from '../../../probes/simulated/random.ts';
import { swingC } from './saw-lines.ts';
import type { ProbeSaw, Shape } from './scenario.ts';

/** A reading as it reached the house: measured and received by a good clock on the wall. */
export type SentReading = {
  probe: string;
  wallMs: number;
  receivedMs: number;
  tempC: number;
  byHouse: boolean;
};

/** Returns the readings of one probe in the order in which they were received. */
export function drawProbe(saw: ProbeSaw, seed: number): SentReading[] {
  const random = openRandom(seed, saw.probe);
  const sent: SentReading[] = [];
  let feltC: number | null = null;
  let beforeMs: number | null = null;
  for (const shape of saw.shapes) {
    const { everyMs, lagMs, noiseC, stepC } = shape.measuring;
    for (let wallMs = shape.fromMs; wallMs < shape.toMs; wallMs += everyMs) {
      const aroundC = tempOf(shape, wallMs);
      const spanMs = beforeMs === null ? 0 : wallMs - beforeMs;
      feltC =
        feltC === null || lagMs === 0 ? aroundC : feltC + (aroundC - feltC) * (1 - Math.exp(-spanMs / lagMs));
      beforeMs = wallMs;
      const noisy = feltC + noiseC * random.gaussian();
      const tempC = stepC === 0 ? Math.round(noisy * 1e4) / 1e4 : Math.round(noisy / stepC) * stepC;
      if (within(saw.silences, wallMs) !== undefined) continue;
      const held = within(saw.heldBack, wallMs);
      sent.push({
        probe: saw.probe,
        wallMs,
        receivedMs: held?.sentMs ?? wallMs,
        tempC,
        byHouse: saw.stampedByHouse,
      });
    }
  }
  for (const { atMs, tempC } of saw.outliers)
    sent.push({ probe: saw.probe, wallMs: atMs, receivedMs: atMs, tempC, byHouse: saw.stampedByHouse });
  return sent.sort((a, b) => a.receivedMs - b.receivedMs || a.wallMs - b.wallMs);
}

/** What was around the tip of the probe, °C. */
function tempOf(shape: Shape, atMs: number): number {
  const { fromMs, startC, toMs } = shape;
  const spanMs = atMs - fromMs;
  switch (shape.kind) {
    case 'level':
      return startC;
    case 'ramp':
      return startC + ((shape.endC - startC) * spanMs) / (toMs - fromMs);
    case 'towards':
      return shape.aroundC + (startC - shape.aroundC) * 2 ** (-spanMs / shape.halfMs);
    case 'swing':
      return swingC(shape, spanMs);
    default:
      return shape satisfies never;
  }
}

function within<T extends { fromMs: number; toMs: number }>(
  spans: readonly T[],
  atMs: number,
): T | undefined {
  return spans.find(({ fromMs, toMs }) => atMs >= fromMs && atMs < toMs);
}
