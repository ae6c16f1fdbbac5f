import type { Offer, Refusal, WireReading } from '../../probes/source.ts';

/** Readings that one probe may have waiting where nobody can send them again; surplus is refused and counted. */
export const waitingPerProbeMax = 5_000;
/** How far ahead of a known clock a stamp may be. */
export const aheadMaxMs = 120_000;

export type AcceptRules = {
  nowMs: number;
  clockKnown: boolean;
  /** Readings of a probe that wait already. */
  waitingOf: (probe: string) => number;
  /** Says why this wire's readings of this probe are not taken; null where they are. */
  refusalOf: (probe: string, source: string) => string | null;
};

/** Parts an offer's readings into those that are taken and the refusals of the others. */
export function acceptReadings(
  offer: Offer,
  rules: AcceptRules,
): { taken: WireReading[]; refused: Refusal[] } {
  const taken: WireReading[] = [];
  const refused: Refusal[] = [];
  for (const reading of offer.readings) {
    const why = refusalOf(reading, offer, rules);
    if (why === null) taken.push(reading);
    else refused.push({ source: offer.source, probe: reading.probe, ...why });
  }
  return { taken, refused };
}

function refusalOf(
  { probe, atMs }: WireReading,
  { canResend, source }: Offer,
  rules: AcceptRules,
): Pick<Refusal, 'code' | 'message'> | null {
  const stranger = rules.refusalOf(probe, source);
  if (stranger !== null) return { code: 'WIRE_PROBE', message: stranger };
  if (atMs !== null && rules.clockKnown && atMs > rules.nowMs + aheadMaxMs) {
    const got = new Date(atMs).toISOString();
    const message = `a stamp of ${probe} must not be more than 2 min ahead of the clock, got ${got}. Set the clock of what sends it.`;
    return { code: 'WIRE_AHEAD', message };
  }
  if (!canResend && rules.waitingOf(probe) >= waitingPerProbeMax) {
    const message = `readings of ${probe} that wait must be at most ${waitingPerProbeMax}, got one more. Let it send less often.`;
    return { code: 'WIRE_SURPLUS', message };
  }
  return null;
}
