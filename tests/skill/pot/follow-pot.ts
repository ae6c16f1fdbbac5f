/** One pot as it would have been watched: forecasts at shares of its way, and what came of the cue to turn off. */
import { feedHeat, forecastHeat, openHeatBank } from '../../../daemon/forecast/heat-forecast.ts';
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
  const { scene } = world;
  const readings: { atMs: number; tempC: number; share: number }[] = [];
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
  const endMs = crossedMs ?? readings.at(-1)?.atMs ?? 0;
  const said = askedShares.map((part) => ask(world, readings, part * endMs));
  const last = readings.findLast(({ atMs }) => atMs <= endMs)?.share ?? 1;
  const turnedAfter = askedShares.map((part) =>
    readings.some(({ atMs, share }) => atMs > part * endMs && atMs <= endMs && share !== last),
  );
  return { scene, crossedMs, mostC, said, turnedAfter };
}

function ask(
  { scene, roomC }: PotWorld,
  readings: readonly { atMs: number; tempC: number }[],
  askMs: number,
): PotSaid {
  const bank = openHeatBank({
    roomC: scene.population === 1 ? Math.round(roomC) : null,
    heightM: scene.heightM,
    volumeL: scene.volumeL,
  });
  const before = readings.filter(({ atMs }) => atMs <= askMs);
  for (const reading of before) feedHeat(bank, reading);
  const outlook = forecastHeat(bank, {
    limitC: scene.targetC,
    marginC: 0,
    deadlineMs: potSpanMs,
    seed: 'pot',
  });
  return {
    p10Ms: outlook?.crossing.p10 ?? null,
    p50Ms: outlook?.crossing.p50 ?? null,
    p90Ms: outlook?.crossing.p90 ?? null,
    lineMs: lineOf(before, askMs, scene.targetC),
  };
}

/** A straight line through the last third, as anybody would draw it. */
function lineOf(
  readings: readonly { atMs: number; tempC: number }[],
  askMs: number,
  targetC: number,
): number | null {
  const last = readings.filter(({ atMs }) => atMs >= (askMs * 2) / 3);
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
