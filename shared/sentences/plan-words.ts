import type { PlaceKind } from '../contract/ids.ts';
import type { PlanView } from '../contract/plan.ts';
import { rescueSureFrom } from '../dairy/offered-rescue.ts';
import { rescueCautions } from './rescue-words.ts';

type Way = PlanView['ways'][number];

/** The place of a way, and in an ice bath whether somebody stirs: "The tub, stirred". */
export function planPlace({ place, stirred }: Way, places: readonly { id: string; name: string }[]): string {
  const name = places.find(({ id }) => id === place)?.name ?? place;
  return `${name}${stirred === null ? '' : stirred ? ', stirred' : ', left alone'}`;
}

/** Minutes with their spread, rounded outwards: "near 74 min (29 to 154)". */
export function planSpan({ minutes: { p10, p50, p90 } }: Way): string {
  if (p10 === null) return 'never within 12 h';
  const late = p90 === null ? 'never' : String(Math.ceil(p90));
  const near = p50 === null ? 'mostly not within 12 h' : `near ${Math.round(p50)} min`;
  return `${near} (${Math.floor(p10)} to ${late})`;
}

/** Whether a way would make the rule, and how often; `isBest` where no other is likelier. */
export function planCall({ chance }: Way, isBest: boolean): string {
  const tenths = Math.round(chance * 10);
  const often =
    tenths > 9 ? 'more than 9 of 10' : tenths < 1 ? 'fewer than 1 of 10' : `about ${tenths} of 10`;
  if (chance >= rescueSureFrom) return `would make it, ${often}`;
  return isBest && chance > 0 ? `would be quickest, ${often}` : `too slow to count on, ${often}`;
}

/** What a way is reckoned from. */
export function planSource({ chills }: Way): string {
  return chills === 0 ? 'as is usual' : `from ${chills} chills here`;
}

const iceCautions = ['warm-glass-cracks', 'water-below-lid', 'clean-tools', 'out-before-freezing'] as const;

/** What to mind of the ways: of ice more where one of them is an ice bath. */
export function planCautions(
  ways: readonly Way[],
  places: readonly { id: string; kind: PlaceKind }[],
): string[] {
  const iced = ways.some(({ place }) => places.some(({ id, kind }) => id === place && kind === 'ice-bath'));
  return rescueCautions(iced ? iceCautions : ['out-before-freezing']);
}
