import type { RescueKind } from '../contract/forecast.ts';
import type { PlaceKind } from '../contract/ids.ts';

/** The kind of place into which a way out takes the milk first; null where it stays where it is. */
export function rescuePlace(kind: RescueKind): PlaceKind | null {
  switch (kind) {
    case 'ice-bath-stirred':
    case 'ice-bath':
      return 'ice-bath';
    case 'cold-water':
    case 'cold-water-then-ice':
      return 'cold-water';
    case 'split':
    case 'stir':
    case 'fan':
      return null;
    default:
      return kind satisfies never;
  }
}
