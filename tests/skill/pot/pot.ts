/** A simulated pot: what its probe said, what was true, and a stove that can be turned off at any reading. */

/** What a pot was drawn from; for the table and for what a forecast may be told. */
export type PotScene = {
  population: 1 | 2;
  lid: boolean;
  knobTurned: boolean;
  touching: boolean;
  heightM: number;
  volumeL: number;
  targetC: number;
  /** When the probe comes out of the milk, s after the beginning, and hangs in the air; never where left out. */
  liftedAtS?: number;
  /** Cold milk that is poured in: when, and how much colder the pot is for it. */
  poured?: { atS: number; dropC: number };
};

/** One step of a stove and its pot. Temperatures in °C, instants in ms after the burner was lit or the watch began. */
export type PotWorld = {
  scene: PotScene;
  everyMs: number;
  roomC: number;
  boilsC: number;
  /** Moves on to the next reading; with the burner off where told. */
  next(burnerOff: boolean): { atMs: number; tempC: number; milkC: number; burnerShare: number };
};

/** Pots are followed this long. */
export const potSpanMs = 3 * 3_600_000;
