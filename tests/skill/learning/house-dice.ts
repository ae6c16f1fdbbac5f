/** Dice of a house: what is the house's own stays from chill to chill but for a little, what happens is new. */
import { type Dice, openDice } from '../dice.ts';

/** From chill to chill what varies wanders by this share of its range, one standard deviation. */
const wanderSd = 0.15;
/**
 * The ranges, as both populations draw them, of what is not of a place, a vessel or a probe but of a chill: how full
 * the vessel is, the room, water, ice and their tap, top-ups, how the jar sits in them. Others stay the house's own.
 */
const ofChill: readonly string[] = [
  ...[
    [13, 27],
    [12, 28],
    [0.2, 1.2],
    [0.1, 1.1],
    [0.2, 4],
    [0.2, 5],
    [0.1, 2],
    [3, 15],
    [3.5, 14],
    [900, 3600],
    [0.1, 0.5],
  ],
  ...[
    [0.35, 1],
    [600, 1800],
    [2, 40],
    [4, 50],
    [8, 50],
    [6, 40],
    [0, 8],
    [0, 2.8],
    [0, 4],
    [0, 3],
    [-1, 1],
  ],
  ...[
    [0.2, 4],
    [0.8, 5],
    [0.6, 4],
    [1, 12],
  ].map((ends) => ends.map(Math.log)),
].map((ends) => ends.join(' '));
/** The milk comes as warm as it comes, °C, and time goes on: drawn anew for each chill. */
const anew: readonly string[] = [
  ...[
    [30, 38],
    [2, 40],
    [4, 50],
    [8, 50],
    [6, 40],
    [0, 8],
  ],
  ...[
    [600, 12_000],
    [1200, 20_000],
  ].map((ends) => ends.map(Math.log)),
].map((ends) => ends.join(' '));

/**
 * Returns the dice of one chill of a house. Ranges and picks are drawn by the house once and wander a little;
 * each is known by its ends, so that what a generator draws beside changes nothing. Shares, normals and
 * whether something happens are the chill's own.
 */
export function openHouseDice(house: { seed: number; stream: number }, chill: number): Dice {
  const own = openDice(house.seed * 31 + 7, house.stream * 1009 + chill);
  const seen = new Map<string, number>();
  const houseShare = (key: string): number => {
    const count = seen.get(key) ?? 0;
    seen.set(key, count + 1);
    return openDice(house.seed, house.stream * 7919 + hashOf(`${key} ${count}`)).share();
  };
  const between = (least: number, most: number): number => {
    const key = `${least} ${most}`;
    const wander = ofChill.includes(key) ? wanderSd * own.normal() : 0;
    const share = anew.includes(key) ? own.share() : mirrored(houseShare(key) + wander);
    return least + (most - least) * share;
  };
  return {
    share: own.share,
    between,
    logBetween: (least, most) => Math.exp(between(Math.log(least), Math.log(most))),
    normal: own.normal,
    happens: (chance) => (isOfHouse(chance) ? houseShare(`happens ${chance}`) < chance : own.happens(chance)),
    pick: (weights) => {
      const entries = Object.entries(weights) as [keyof typeof weights, number][];
      let rest =
        houseShare(Object.keys(weights).join(' ')) * entries.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [key, weight] of entries) {
        rest -= weight;
        if (rest < 0) return key;
      }
      return (entries[entries.length - 1] as [keyof typeof weights, number])[0];
    },
  };
}

/** Of what both populations let happen, glass or steel and whether a bath is stirred or runs are the house's. */
const houseChances: readonly number[] = [0.65, 0.6, 0.45, 0.4];
const isOfHouse = (chance: number): boolean => houseChances.includes(chance);

function mirrored(share: number): number {
  const folded = Math.abs(share);
  return Math.min(0.999999, folded > 1 ? 2 - folded : folded);
}

function hashOf(text: string): number {
  let hash = 0x811c9dc5;
  for (const letter of text) hash = Math.imul(hash ^ letter.charCodeAt(0), 0x01000193);
  return hash | 0;
}
