/** What pots are like before they have shown it: the numbers that a heat forecast begins with. */
import type { HeatPrior } from './heat-filter.ts';

/**
 * Chosen on simulated pots of two makes and checked on measured ones (deploy/docs/pots.md). Losses are °C a
 * minute in a pot of 3 L: of the walls at 50 K over the room, of vapour at 70 °C.
 */
export const heatGuess = {
  /** Lags of pan, coil and probe, minutes: thin pan on gas, electric plate, iron and heavy coil; their spread, as a log. */
  lagsMin: [0.3, 0.9, 2.4],
  lagLogSd: 0.45,
  /** How much less likely than the quickest each lag is beforehand, as a log. */
  lagAgainst: [0, 0, 1],
  wall: { mean: 0.22, logSd: 0.43 },
  lid: { mean: 0.01, logSd: 0.8 },
  open: { mean: 0.54, logSd: 0.45 },
  /** How much likelier a lid is than none, as a log: milk is heated under one more often than not. */
  lidLikelier: 2,
  /** How much vaguer losses are where the volume was not told, as a log. */
  untold: 0.25,
  /** Neighbouring bins share warm streaks: each tells less than it seems. */
  streaks: 1.8,
};

/** Guesses by lag and lid; how much a pot loses goes by how large it is, where that was told. */
export function heatPriors(volumeL: number | null): HeatPrior[] {
  const { lagsMin, lagLogSd, lagAgainst, wall, lid, open, untold } = heatGuess;
  // Surface over volume of similar pots goes by the third root.
  const size = volumeL === null ? 0 : -Math.log(volumeL / 3) / 3;
  const vague = volumeL === null ? untold : 0;
  return [true, false].flatMap((hasLid) => {
    const vapour = hasLid ? lid : open;
    return lagsMin.map((lagMin, place) => ({
      lid: hasLid,
      logLag: [Math.log(lagMin), lagLogSd] as const,
      logWall: [Math.log(wall.mean) + size, wall.logSd + vague] as const,
      logVapour: [Math.log(vapour.mean) + size, vapour.logSd + vague] as const,
      logLike: (hasLid ? heatGuess.lidLikelier : 0) - (lagAgainst[place] ?? 0),
    }));
  });
}
