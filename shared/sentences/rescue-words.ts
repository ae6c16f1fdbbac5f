import type { Rescue, RescueKind } from '../contract/forecast.ts';
import { rescueSureFrom } from '../dairy/offered-rescue.ts';
import { capital } from './capital.ts';
import { clockText, fixed, minutesText, type Phrase, type Speech, slanted } from './speech.ts';

type Offered = Omit<Rescue, 'path'>;

/** How soon a remedy must be wanted for "now" to be the word. */
const nowWithinMs = 60_000;

/** The imperative of a rescue: "Into an ice bath by 7:12," or "Into stirred ice now,". */
export function rescueImperative(rescue: Offered, nowMs: number, speech: Speech): string {
  const by = rescue.lastUsefulAtMs;
  const when = by === null || by - nowMs < nowWithinMs ? 'now' : `by ${clockText(by, speech)}`;
  return `${intoWords(rescue.kind)} ${when},`;
}

/** What a rescue would come to where it is not sure to make it; empty where it is. */
export function rescueHope(rescue: Offered, speech: Speech): Phrase[] {
  const near = rescue.crossing.p50;
  if (rescue.chance >= rescueSureFrom || near === null) return [];
  return [fixed('the quickest way, near '), slanted(clockText(near, speech)), fixed('.')];
}

/** What a rescue is called in a table: "in stirred ice". */
export function rescueName(kind: Rescue['kind']): string {
  switch (kind) {
    case 'ice-bath-stirred':
      return 'in stirred ice';
    case 'ice-bath':
      return 'in an ice bath';
    case 'cold-water':
      return 'in cold water';
    case 'cold-water-then-ice':
      return 'in cold water, then stirred ice';
    case 'split':
      return 'in smaller jars';
    case 'stir':
      return 'stirred';
    case 'fan':
      return 'nearer the fan';
    default:
      return kind satisfies never;
  }
}

/** What a person says of a rescue that was taken: the words of its button. */
export function rescueTaken(kind: RescueKind): string {
  switch (kind) {
    case 'ice-bath-stirred':
    case 'ice-bath':
      return 'It’s in the ice';
    case 'cold-water':
    case 'cold-water-then-ice':
      return 'It’s in the water';
    case 'split':
      return 'It’s in smaller jars';
    case 'stir':
      return 'I’m stirring it';
    case 'fan':
      return 'It’s at the fan';
    default:
      return kind satisfies never;
  }
}

/** How milk stands since a rescue was taken: "In stirred ice since 7:12". */
export function takenSince({ atMs, kind }: { kind: RescueKind; atMs: number }, speech: Speech): string {
  const name = kind === 'cold-water-then-ice' ? rescueName('cold-water') : rescueName(kind);
  return `${capital(name)} since ${clockText(atMs, speech)}`;
}

/** What the last moment of a rescue is for: "latest for ice"; "latest" where it wants neither ice nor water. */
export function rescueLatest(kind: Rescue['kind']): { long: string; short: string } {
  switch (kind) {
    case 'ice-bath-stirred':
    case 'ice-bath':
      return { long: 'latest for ice', short: 'ice by' };
    case 'cold-water':
    case 'cold-water-then-ice':
      return { long: 'latest for cold water', short: 'water by' };
    case 'split':
    case 'stir':
    case 'fan':
      return { long: 'at the latest', short: 'by' };
    default:
      return kind satisfies never;
  }
}

/** An amount of ice: "1 kg of ice". */
export function iceAmount(iceKg: number): string {
  return `${iceKg < 1 ? iceKg.toFixed(1) : Math.ceil(iceKg * 2) / 2} kg of ice`;
}

/** A rescue with the ice it wants: "1 kg of ice, stirred"; its name where no volume was told. */
export function iceText({ iceKg, kind }: Offered): string {
  if (kind === 'cold-water-then-ice')
    return iceKg === null ? 'water, then ice' : `water, then ${iceAmount(iceKg)}`;
  if (iceKg === null) return rescueName(kind);
  if (kind === 'ice-bath-stirred') return `${iceAmount(iceKg)}, stirred`;
  return kind === 'ice-bath' ? iceAmount(iceKg) : rescueName(kind);
}

/** What a rescue wants of things and hands: "10 minutes in 3 L of cold water, then 1.5 kg of ice"; empty where nothing. */
export function rescueWants({ iceKg, kind, vessels, waterL, waterSpanMs }: Offered): string {
  const ice = iceKg === null ? 'as much ice as milk' : iceAmount(iceKg);
  const bath = iceKg === null ? 'as much ice, and water, as milk' : `${ice}, as much water as milk`;
  switch (kind) {
    case 'ice-bath-stirred':
      return `${bath}; stir milk and bath every few minutes`;
    case 'ice-bath':
      return bath;
    case 'cold-water':
      return waterL ? `${waterL} L of cold water` : '';
    case 'cold-water-then-ice': {
      const water = waterL ? `${waterL} L of cold water` : 'cold water';
      return `${minutesText(waterSpanMs ?? 600_000)} in ${water}, then ${ice}; stir every few minutes`;
    }
    case 'split':
      return vessels === undefined ? '' : `poured into ${vessels}, the probe in one of them`;
    case 'stir':
      return 'every few minutes, where it stands';
    case 'fan':
      return 'where it stands, with air all round';
    default:
      return kind satisfies never;
  }
}

/** The same as a sentence of its own; empty where it wants nothing. */
export function rescueWantsSaid(rescue: Offered): string {
  const wants = rescueWants(rescue);
  return wants === '' ? '' : `${capital(wants)}.`;
}

/** How likely a rescue is to make it: "would make it" from the rule's share on, else in tenths. */
export function rescueChance({ chance }: Offered): string {
  if (chance >= rescueSureFrom) return 'would make it';
  const tenths = Math.floor(chance * 10);
  if (tenths < 1) return 'would not make it';
  return `makes it ${tenths === 1 ? 'once' : `${tenths} times`} in 10`;
}

/** The cautions of a rescue, each a short sentence; a code that is not known says nothing. */
export function rescueCautions(codes: readonly string[]): string[] {
  return codes.flatMap((code) => cautions[code] ?? []);
}

const cautions: Readonly<Record<string, string>> = {
  'warm-glass-cracks': 'Cold water first: warm glass in ice can crack.',
  'water-below-lid': 'Keep the water below the lid.',
  'clean-tools': 'Stir with clean tools.',
  'clean-jars': 'Pour into clean jars.',
  'out-before-freezing': 'Take glass out before it freezes.',
};

function intoWords(kind: Rescue['kind']): string {
  switch (kind) {
    case 'ice-bath-stirred':
      return 'Into stirred ice';
    case 'ice-bath':
      return 'Into an ice bath';
    case 'cold-water':
      return 'Into cold water';
    case 'cold-water-then-ice':
      return 'Into cold water, then stirred ice,';
    case 'split':
      return 'Into smaller jars';
    case 'stir':
      return 'Stir it';
    case 'fan':
      return 'Nearer the fan';
    default:
      return kind satisfies never;
  }
}
