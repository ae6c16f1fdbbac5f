/** Offers from a wire that cannot send again: bounded here, and what is over the bound is counted. */
import type { Refusal, SourceSink } from './source.ts';
import type { Decoded } from './wire/decoded.ts';

/** The most offers left open. At the limit what comes is dropped and counted as `WIRE_SURPLUS`. */
export const openTakesMax = 1000;

/** The most probes told apart in that count; the surplus of further ones is counted without a name. */
export const surplusProbesMax = 64;

/** The most refusals in one offer of surplus; the rest follows in the next. */
export const surplusRefusalsMax = 1000;

export type LossyTakes = {
  /** Offers what a line or a sensor gave; an empty one is dropped. Returns at once and never throws. */
  offer(decoded: Decoded): void;
};

/** Returns the way from one wire into the sink; `openMax` offers may be open. */
export function createLossyTakes(source: string, sink: SourceSink, openMax = openTakesMax): LossyTakes {
  const surplus = new Map<string | null, number>();
  let open = 0;

  function offer(decoded: Decoded): void {
    if (decoded.readings.length + decoded.refusals.length === 0) return;
    if (open >= openMax) {
      addSurplus(surplus, decoded);
      return;
    }
    open += 1;
    sink.take({ source, ...decoded, canResend: false }).then(settled, settled);
  }

  /** A commit that failed is lost here: nobody can send it again, and the sink has said so. */
  function settled(): void {
    open -= 1;
    if (surplus.size > 0) offer({ readings: [], refusals: takeSurplus(surplus, source) });
  }

  return { offer };
}

function addSurplus(surplus: Map<string | null, number>, { readings, refusals }: Decoded): void {
  for (const { probe } of [...readings, ...refusals]) {
    const name = surplus.has(probe) || surplus.size < surplusProbesMax ? probe : null;
    surplus.set(name, (surplus.get(name) ?? 0) + 1);
  }
}

function takeSurplus(surplus: Map<string | null, number>, source: string): Refusal[] {
  const message = 'line must come no faster than the house commits, got more. Send readings less often.';
  const refusals: Refusal[] = [];
  for (const [probe, count] of surplus) {
    const taken = Math.min(count, surplusRefusalsMax - refusals.length);
    const refusal: Refusal = { source, probe, code: 'WIRE_SURPLUS', message };
    for (let i = 0; i < taken; i++) refusals.push(refusal);
    if (taken === count) surplus.delete(probe);
    else surplus.set(probe, count - taken);
  }
  return refusals;
}
