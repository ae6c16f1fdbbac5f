/** The time and temperature pairs that pasteurization law names, and which of them a kitchen pot can be held to. */
import type { BatchPair, HoldProduct } from '../contract/hold.ts';
import { celsiusOf } from '../units/celsius.ts';

/** A pair as its law writes it. `limit` is in the law's own unit and never rounded to another. */
export type LegalPair = {
  /** What people call it. */
  name: string;
  rule: 'US' | 'EU';
  limit: { value: number; units: 'F' | 'C' };
  holdMs: number;
  /** A batch is held in a vessel; the others only in continuous flow, where every particle has its time. */
  batch: boolean;
  /** US: the temperature rises by 5 °F for richer or sweetened milk. */
  stepped: boolean;
};

/**
 * 21 CFR 131.3(b) and 1240.61(b, c), the Grade "A" PMO's definition (as adopted in 25 Tex. Admin. Code 217.1) and
 * Regulation (EC) 853/2004 Annex III Section IX Chapter II Part II. 212 °F goes with 0.01 s; a circulating page
 * prints 221 °F.
 */
export const legalPairs: readonly LegalPair[] = [
  pair('US', 145, 1_800_000, { batch: true, stepped: true }),
  pair('US', 161, 15_000, { stepped: true }),
  pair('US', 191, 1_000, {}),
  pair('US', 194, 500, {}),
  pair('US', 201, 100, {}),
  pair('US', 204, 50, {}),
  pair('US', 212, 10, {}),
  pair('EU', 63, 1_800_000, { batch: true }),
  pair('EU', 72, 15_000, {}),
];

/** Eggnog has pairs of its own: 21 CFR 1240.61(c). */
export const eggnogPairs: readonly LegalPair[] = [
  pair('US', 155, 1_800_000, { batch: true }),
  pair('US', 175, 25_000, {}),
  pair('US', 180, 15_000, {}),
];

/** US ultra-pasteurized: 280 °F for 2 s or more, 21 CFR 131.3(c). */
export const ultraPair: LegalPair = pair('US', 280, 2_000, {});

function pair(
  rule: 'US' | 'EU',
  value: number,
  holdMs: number,
  of: { batch?: boolean; stepped?: boolean },
): LegalPair {
  const units = rule === 'US' ? 'F' : 'C';
  const span = holdMs >= 60_000 ? `${holdMs / 60_000} min` : `${holdMs / 1000} s`;
  const name = `${value} °${units} for ${span}`;
  return {
    name,
    rule,
    limit: { value, units },
    holdMs,
    batch: of.batch ?? false,
    stepped: of.stepped ?? false,
  };
}

/** A pair's limit in °C, unrounded: 145 °F is 62.777… °C, 63 °C is 63. */
export function limitOfPairC({ limit }: LegalPair): number {
  return celsiusOf(limit.value, limit.units);
}

/** US law adds this where the milk has 10 % fat, 18 % solids or added sweeteners, °F; it is no 3 °C. */
export const richerStepF = 5;

/** Whether US law asks 5 °F more of this milk. */
export function isRicher(product: HoldProduct | undefined): boolean {
  const { fatPercent = 0, solidsPercent = 0, sweetened = false } = product ?? {};
  return fatPercent >= 10 || solidsPercent >= 18 || sweetened;
}

/** The air over the milk in a US batch is at least this much warmer than the milk must be, °F (3 CCR 584(b); PMO 16p(B)). */
export const airSpaceStepF = 5;

/** What a batch pair asks of a pot of this milk; limits in °C, unrounded. */
export function batchRule(
  named: BatchPair,
  product?: HoldProduct,
): { limitC: number; holdMs: number; airLowC: number | null } {
  switch (named) {
    case 'us-145f-30min': {
      const limitF = product?.eggnog === true ? 155 : 145 + (isRicher(product) ? richerStepF : 0);
      return {
        limitC: celsiusOf(limitF, 'F'),
        holdMs: 1_800_000,
        airLowC: celsiusOf(limitF + airSpaceStepF, 'F'),
      };
    }
    case 'eu-63c-30min':
      return { limitC: 63, holdMs: 1_800_000, airLowC: null };
    default:
      return named satisfies never;
  }
}

/** The shortest hold that readings of a probe can prove. */
export const holdLeastMs = 60_000;

/**
 * Why a hold of this temperature and time cannot be had: the name of the continuous-flow pair that it is, or
 * only that it is too short; null where it can. A pair is known within 0.6 °C, as people round it.
 */
export function refusedHold(asked: {
  limitC: number | null;
  holdMs: number;
}): { pair: string | null } | null {
  if (asked.holdMs >= holdLeastMs) return null;
  const { limitC } = asked;
  const flows = [...legalPairs, ...eggnogPairs, ultraPair].filter(({ batch }) => !batch);
  const near = flows.filter((flow) => {
    const steps = flow.stepped ? [0, (richerStepF * 5) / 9] : [0];
    return (
      limitC !== null &&
      flow.holdMs === asked.holdMs &&
      steps.some((step) => Math.abs(limitOfPairC(flow) + step - limitC) <= 0.6)
    );
  });
  const distance = (flow: LegalPair) => Math.abs(limitOfPairC(flow) - (limitC ?? 0));
  const found = near.sort((a, b) => distance(a) - distance(b))[0];
  return { pair: found?.name ?? null };
}
