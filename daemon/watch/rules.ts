import type { Material, PlaceKind } from '../../shared/contract/ids.ts';
import type { KeepWindow } from '../../shared/contract/keep.ts';
import type { HousePrior } from '../../shared/contract/prior.ts';
import type { AtHand } from '../../shared/dairy/at-hand.ts';
import type { CoolingRuleId } from '../../shared/dairy/cooling-rules.ts';

/** What the house file says of one probe, as the watching needs it. */
export type ProbeRules = {
  place: string | null;
  volumeL: number | null;
  material: Material | null;
  /** How far the probe may be off, °C; the margin beyond which a window is proved. */
  uncertaintyC: number;
  /** The place whose air (or water) this probe measures; null where it is in milk. */
  measures: string | null;
};

export type PlaceRules = {
  kind: PlaceKind | null;
  aroundC: number | null;
  /** The window in which what stands there is kept; its kind's own where none is given. */
  keep?: KeepWindow | null;
};

/** Everything the watching is told beforehand. Plain data; it changes only between runs. */
export type WatchRules = {
  chill: { limitC: number; spanMs: number; guarded: boolean };
  places: Readonly<Record<string, PlaceRules>>;
  probes: Readonly<Record<string, ProbeRules>>;
  /** What the house has at hand for a way out; nothing told where left out. */
  atHand?: AtHand;
  /** The region whose rule is kept around the house's own; none where it is not told. */
  region?: CoolingRuleId;
  /** How high the house stands above the sea, m; sea level where it is not told. */
  heightM?: number;
  /** What chills go by that begin now, in place of what the house itself learns. */
  prior?: HousePrior;
  /** False where watches begin only by a word. */
  startsByItself: boolean;
};

const unknownProbe: ProbeRules = {
  place: null,
  volumeL: null,
  material: null,
  uncertaintyC: 0.5,
  measures: null,
};

/** The rules of a probe; one that the house file does not name is a milk probe off by 0.5 °C at most. */
export function probeRules(rules: WatchRules, probe: string): ProbeRules {
  return rules.probes[probe] ?? unknownProbe;
}

/** The margin of a probe's windows, °C: its uncertainty, or 0 where the house has the guard off. */
export function marginOf(rules: WatchRules, probe: string): number {
  return rules.chill.guarded ? probeRules(rules, probe).uncertaintyC : 0;
}

/** Places in which warm milk is meant to be warm: it is no chill that begins there. */
const warmPlaces: readonly (PlaceKind | null)[] = ['pot', 'warm-box'];

/**
 * Whether a chill may begin by itself on a probe: not where watches begin only by a word, nor on a probe that
 * measures a place's air, nor where milk is kept warm.
 */
export function chillsByItself(rules: WatchRules, probe: string): boolean {
  const { measures, place } = probeRules(rules, probe);
  if (!rules.startsByItself || measures !== null) return false;
  return place === null || !warmPlaces.includes(rules.places[place]?.kind ?? null);
}
