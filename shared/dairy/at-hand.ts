/** What a house has at hand for milk that would miss its window. */

/** True and false as a person told; null where nothing was told. `waterC` is how cold its cold water comes. */
export type AtHand = {
  ice: boolean | null;
  water: boolean | null;
  waterC: number | null;
  vessels: boolean | null;
  fan: boolean | null;
};

/** A house that told nothing: ice, a tap and spare jars are common in a dairy, a fan at the milk is not. */
export const nothingTold: AtHand = { ice: null, water: null, waterC: null, vessels: null, fan: null };
