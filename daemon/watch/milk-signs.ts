/**
 * What a probe's last minutes look like, as numbers of about one: its level, its steps, and the temperature
 * around the probe as its lag in milk would have it. The judge of milk-judge.ts weighs them.
 */
import type { Recent } from './recent.ts';

/** What is known of the probe beside its last minutes; null where it is not known yet. */
export type KnownProbe = { lagS: number | null; restC: number | null };

/** Seconds before the newest bin at which the curve is looked at: finely where milk has just been reached. */
const looksS = [
  0, 10, 20, 30, 40, 50, 60, 75, 90, 105, 120, 140, 160, 180, 205, 230, 260, 290, 320, 350, 390,
] as const;
const looks = looksS.length;
/** Looks for which the temperature around the probe is reckoned, by the slope across both neighbours. */
const aroundLooks = 17;
/** Where the lag is not known: that of a thin steel probe. */
const usualLagS = 14;
/** A milk of this temperature is the zero of levels. */
const milkUsualC = 33;

/** How many numbers `milkSigns` gives. */
export const signCount = 1 + (looks - 1) * 2 + aroundLooks - 1 + 10;

/** Scratch of one call, since inputs come every few seconds for years. */
const curve = new Float64Array(looks);

/** Writes the signs of the last minutes into `into`, `signCount` long. Needs at least one bin. */
export function milkSigns(recent: Recent, known: KnownProbe, into: Float64Array): void {
  const { atMs, tempC } = recent;
  const newestMs = atMs.at(-1) ?? 0;
  lookBack(recent, newestMs);
  const nowC = curve[0] as number;
  let place = 0;
  const put = (value: number) => {
    into[place] = value;
    place += 1;
  };
  put(bent((nowC - milkUsualC) / 4));
  for (let look = 1; look < looks; look += 1) {
    const beforeC = curve[look] as number;
    put(Math.asinh(((curve[look - 1] as number) - beforeC) / 0.25) / 3);
    put(Math.asinh((beforeC - nowC) / 1) / 2.5);
  }
  const lagS = known.lagS ?? usualLagS;
  for (let look = 1; look < aroundLooks; look += 1) {
    const spanS = (looksS[look + 1] as number) - (looksS[look - 1] as number);
    const slope = ((curve[look - 1] as number) - (curve[look + 1] as number)) / spanS;
    put(Math.asinh(((curve[look] as number) + lagS * slope - nowC) / 1) / 2.5);
  }
  put(known.lagS === null ? 0 : 1);
  put(Math.log(lagS / usualLagS));
  put(known.restC === null ? 0 : 1);
  put(known.restC === null ? 0 : bent((nowC - known.restC) / 5));
  put(known.restC === null ? 0 : bent((known.restC - 20) / 10));
  put(Math.log(Math.max(1, apartS(recent, newestMs)) / 10));
  put(Math.asinh(roughC(tempC) / 0.05) / 2);
  put(Math.min(1, (newestMs - (atMs[0] ?? newestMs)) / 390_000));
  const warmest = warmestOf(recent, newestMs);
  put(Math.asinh(warmest.tempC - nowC) / 2.5);
  put(warmest.agoS / 200);
}

/** The mean of the bins about each look; between bins by a straight line; before the first, as it was then. */
function lookBack({ atMs, tempC }: Recent, newestMs: number): void {
  let index = atMs.length - 1;
  for (let look = 0; look < looks; look += 1) {
    const agoS = looksS[look] as number;
    const halfS = look === 0 ? 3 : (agoS - (looksS[look - 1] as number)) / 2;
    const centreMs = newestMs - agoS * 1000;
    while (index > 0 && (atMs[index] as number) > centreMs + halfS * 1000) index -= 1;
    let sumC = 0;
    let count = 0;
    for (let at = index; at >= 0 && (atMs[at] as number) >= centreMs - halfS * 1000; at -= 1) {
      if ((atMs[at] as number) > centreMs + halfS * 1000) continue;
      sumC += tempC[at] as number;
      count += 1;
    }
    curve[look] = count > 0 ? sumC / count : between(atMs, tempC, centreMs);
  }
}

function between(atMs: number[], tempC: number[], wantedMs: number): number {
  const before = atMs.findLastIndex((at) => at <= wantedMs);
  if (before < 0) return tempC[0] ?? 0;
  const fromMs = atMs[before] as number;
  const toMs = atMs[before + 1];
  const fromC = tempC[before] as number;
  if (toMs === undefined) return fromC;
  return fromC + (((tempC[before + 1] as number) - fromC) * (wantedMs - fromMs)) / (toMs - fromMs);
}

/** The mean spacing of the last two minutes' bins. */
function apartS({ atMs }: Recent, newestMs: number): number {
  let first = atMs.length - 1;
  while (first > 0 && (atMs[first - 1] as number) >= newestMs - 120_000) first -= 1;
  const count = atMs.length - 1 - first;
  return count === 0 ? 60 : (newestMs - (atMs[first] as number)) / count / 1000;
}

/** The noise of the last bins: of their second differences, which slow milk has none of. */
function roughC(tempC: number[]): number {
  let square = 0;
  let count = 0;
  for (let index = Math.max(2, tempC.length - 10); index < tempC.length; index += 1) {
    square += ((tempC[index] ?? 0) - 2 * (tempC[index - 1] ?? 0) + (tempC[index - 2] ?? 0)) ** 2;
    count += 1;
  }
  return count === 0 ? 0 : Math.sqrt(square / count / 6);
}

function warmestOf({ atMs, tempC }: Recent, newestMs: number): { tempC: number; agoS: number } {
  let warmest = atMs.length - 1;
  for (let index = warmest; index >= 0 && (atMs[index] as number) >= newestMs - 390_000; index -= 1) {
    if ((tempC[index] as number) > (tempC[warmest] as number)) warmest = index;
  }
  return { tempC: tempC[warmest] ?? 0, agoS: (newestMs - (atMs[warmest] ?? newestMs)) / 1000 };
}

/** Keeps a number within ± 3, for rooms in which nobody milks. */
function bent(value: number): number {
  return Math.max(-3, Math.min(3, value));
}
