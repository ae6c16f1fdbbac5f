/** What the house file makes of a probe that stands in a cold place: whether it is kept, and by which window. */
import type { PlaceKind } from '../../shared/contract/ids.ts';
import type { KeepWindow } from '../../shared/contract/keep.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { probeRules, type WatchRules } from './rules.ts';

/** Where a probe keeps watch, and by what. */
export type KeepPlace = {
  place: string | null;
  placeKind: PlaceKind | null;
  window: KeepWindow;
  /** True in a vessel, false in the air, null where its readings must tell. */
  inVessel: boolean | null;
  volumeL: number | null;
};

/** A freezer that is no colder than this thaws what is in it: a soft rule that is only told of (common practice, no source). */
export const freezerHighC = -10;

/** Returns where this probe keeps watch; null where the house gives it no cold place with a window. */
export function keepPlaceOf(rules: WatchRules, probe: string): KeepPlace | null {
  const told = probeRules(rules, probe);
  const place = told.measures ?? told.place;
  const placeRules = place === null ? undefined : rules.places[place];
  if (place === null || placeRules === undefined) return null;
  const window = placeRules.keep ?? usualWindow(placeRules.kind, rules);
  if (window === null) return null;
  const inVessel = told.measures !== null ? false : told.volumeL !== null ? true : null;
  return { place, placeKind: placeRules.kind, window, inVessel, volumeL: told.volumeL };
}

/** The window of a kind of place that the house file gives none: a cellar has none of its own. */
function usualWindow(kind: PlaceKind | null, rules: WatchRules): KeepWindow | null {
  switch (kind) {
    case 'fridge':
      return { lowC: milkFreezesC, highC: rules.chill.limitC };
    case 'freezer':
      return { lowC: null, highC: freezerHighC };
    case 'cellar':
    case 'ice-bath':
    case 'cold-water':
    case 'room':
    case 'pot':
    case 'warm-box':
    case null:
      return null;
    default:
      return kind satisfies never;
  }
}
