/** What the manners are told beforehand: who is told, by which ways, when not. Plain data. */
import type { Weight } from '../../../shared/contract/event.ts';
import type { CoolingRuleId } from '../../../shared/dairy/cooling-rules.ts';

/** Hours in which a receiver is left alone, minutes after midnight in the receiver's zone; may pass midnight. */
export type QuietHours = {
  fromMin: number;
  toMin: number;
  /** The least weight that wakes; null where nothing does. */
  wake: 'warn' | 'alarm' | null;
};

/** One person who is told. */
export type Receiver = {
  id: string;
  name: string;
  language: 'en';
  units: 'F' | 'C';
  /** An IANA zone. */
  zone: string;
  /** Ids of ways, the first the dearest: a tell takes the first that works, a warn two, an alarm all. */
  ways: readonly string[];
  /** The least weight that is told. */
  from: Weight;
  /** Told only of what nobody has seen for so long; 0 is told at once. */
  afterMs: number;
  quiet: QuietHours | null;
  /** When the digest comes, minutes after midnight in the receiver's zone; null for none. */
  digestMin: number | null;
};

export type MannersRules = {
  receivers: readonly Receiver[];
  /** Whose rule surrounds the house's own hour: a jar that may miss that, too, is warned of whatever else is quiet. */
  region: CoolingRuleId;
};

const ranks: Readonly<Record<Weight, number>> = { tell: 0, warn: 1, alarm: 2 };

/** How much a weight weighs: 0 to 2. */
export function rankOf(weight: Weight): number {
  return ranks[weight];
}
