/** One pot as it would have been watched: forecasts at shares of its way, and what came of the cue to turn off. */
import {
  feedHeat,
  forecastHeat,
  type HeatOutlook,
  openHeatBank,
} from '../../../daemon/forecast/heat-forecast.ts';
import { type PotScene, type PotWorld, potSpanMs } from './pot.ts';

/** Shares of the time to the target at which forecasts are scored. */
export const askedShares = [0.25, 0.5, 0.75] as const;

export type PotSaid = {
  p10Ms: number | null;
  p50Ms: number | null;
  p90Ms: number | null;
  lineMs: number | null;
};
export type PotStory = {
  scene: PotScene;
  /** The first reading at its target that none in the next minute contradicts; null where there was none. */
  crossedMs: number | null;
  /** The highest it got. */
  mostC: number;
  said: PotSaid[];
  /** Whether a knob was turned after each asked share. */
  turnedAfter: boolean[];
};

/** Follows a pot to its target, then asks at each share of the way what would have been said. */
export function followPot(draw: () => PotWorld): PotStory {
  const world = draw();
  const { readings, crossedMs, mostC } = readPot(world);
  const endMs = crossedMs ?? readings.at(-1)?.atMs ?? 0;
  const said = askedShares.map((part) => saidOf(world, readings, part * endMs));
  const last = readings.findLast(({ atMs }) => atMs <= endMs)?.share ?? 1;
  const turnedAfter = askedShares.map((part) =>
    readings.some(({ atMs, share }) => atMs > part * endMs && atMs <= endMs && share !== last),
  );
  return { scene: world.scene, crossedMs, mostC, said, turnedAfter };
}

/** What a probe read, and the share of its full heat that the burner gave then. */
export type PotReading = { atMs: number; tempC: number; share: number };

/** Reads a pot up to a minute past its target, or for as long as pots are followed. */
export function readPot(world: PotWorld): {
  readings: PotReading[];
  crossedMs: number | null;
  mostC: number;
} {
  const { scene } = world;
  const readings: PotReading[] = [];
  let crossedMs: number | null = null;
  let mostC = -99;
  for (;;) {
    const { atMs, tempC, milkC, burnerShare } = world.next(false);
    if (atMs > potSpanMs) break;
    readings.push({ atMs, tempC, share: burnerShare });
    mostC = Math.max(mostC, milkC);
    if (tempC < scene.targetC) crossedMs = null;
    else crossedMs ??= atMs;
    if (crossedMs !== null && atMs - crossedMs >= 60_000) break;
  }
  if (crossedMs !== null && (readings.at(-1)?.atMs ?? 0) < crossedMs + 60_000) crossedMs = null;
  return { readings, crossedMs, mostC };
}

/** What the forecast would have said at an instant from the readings before it; null before it says anything. */
export function outlookOf(
  { scene, roomC }: PotWorld,
  readings: readonly PotReading[],
  askMs: number,
): HeatOutlook | null {
  const bank = openHeatBank({
    roomC: scene.population === 1 ? Math.round(roomC) : null,
    heightM: scene.heightM,
    volumeL: scene.volumeL,
  });
  for (const reading of readings) if (reading.atMs <= askMs) feedHeat(bank, reading);
  return forecastHeat(bank, { limitC: scene.targetC, marginC: 0, deadlineMs: potSpanMs, seed: 'pot' });
}

function saidOf(world: PotWorld, readings: readonly PotReading[], askMs: number): PotSaid {
  const outlook = outlookOf(world, readings, askMs);
  return {
    p10Ms: outlook?.crossing.p10 ?? null,
    p50Ms: outlook?.crossing.p50 ?? null,
    p90Ms: outlook?.crossing.p90 ?? null,
    lineMs: lineOf(readings, askMs, world.scene.targetC),
  };
}

/** A straight line through the last third up to an instant, as anybody would draw it. */
function lineOf(readings: readonly PotReading[], askMs: number, targetC: number): number | null {
  const last = readings.filter(({ atMs }) => atMs >= (askMs * 2) / 3 && atMs <= askMs);
  const count = last.length;
  if (count < 3) return null;
  const meanMs = last.reduce((sum, { atMs }) => sum + atMs, 0) / count;
  const meanC = last.reduce((sum, { tempC }) => sum + tempC, 0) / count;
  let over = 0;
  let under = 0;
  for (const { atMs, tempC } of last) {
    over += (atMs - meanMs) * (tempC - meanC);
    under += (atMs - meanMs) ** 2;
  }
  const slope = over / under;
  return slope > 0 ? meanMs + (targetC - meanC) / slope : null;
}
