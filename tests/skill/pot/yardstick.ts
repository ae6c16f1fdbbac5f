/**
 * About what can be known of the time left to a pot: boosting trained on tens of thousands of pots of the very make
 * that it is then asked about, beside a straight line and Springhouse, on the same fresh pots.
 * `node tests/skill/pot/yardstick.ts [--learn 16000] [--pots 3000] [--seed 1]`; needs Debian's python3-sklearn.
 */
import { parseArgs } from 'node:util';
import { tableLines } from '../../../deploy/docs/table.ts';
import { quantileOf } from '../quantile-of.ts';
import { runLearner } from '../run-learner.ts';
import { askedShares, followPot, outlookOf, type PotReading, readPot } from './follow-pot.ts';
import { drawPot, type PotPopulation, potPopulationNames } from './population.ts';
import type { PotWorld } from './pot.ts';
import { type ShareScore, scorePots } from './score-pots.ts';

const { values } = parseArgs({
  options: {
    learn: { type: 'string', default: '16000' },
    pots: { type: 'string', default: '3000' },
    seed: { type: 'string', default: '1' },
  },
});
const [learn, pots, seed] = [Number(values.learn), Number(values.pots), Number(values.seed)];

/** Where nothing or never is told, the learner starts from this many minutes. */
const untoldMin = 720;
/** Spans back from the asked instant over which readings are averaged for the learner, minutes. */
const spansMin = [0, 0.5, 1, 1.5, 2, 3, 4, 5, 7, 9, 12, 15, 20, 30, 45, 60];

const head = ['make', 'asked at', 'a line', 'Springhouse', 'learner of that make'];
const rows = ([1, 2] as const).flatMap(measure);
process.stdout.write(`${tableLines(head, rows).join('\n')}\n`);

/** Errors of the time left as shares of it: median and 90th percentile, of all pots that got there. */
function measure(population: PotPopulation): string[][] {
  const known: number[][] = [];
  for (let place = 0; place < learn; place++) known.push(...lessonsOf(population, seed + 1, place));
  const stories = Array.from({ length: pots }, (_, place) =>
    followPot(() => drawPot({ population, seed, place })),
  );
  const own = scorePots('', stories).shares;
  return askedShares.flatMap((share, order) => {
    const fresh: number[][] = [];
    for (let place = 0; place < pots; place++) {
      const world = drawPot({ population, seed, place });
      const { readings, crossedMs } = readPot(world);
      if (crossedMs === null) continue;
      const row = rowAt(world, readings, { askMs: share * crossedMs, crossedMs });
      if (row !== null) fresh.push(row);
    }
    const width = fresh[0]?.length ?? 0;
    const answers = runLearner(new URL('./yardstick.py', import.meta.url), {
      known: Float32Array.from(known.flat()),
      fresh: Float32Array.from(fresh.flat()),
      args: [`${width}`],
    });
    const off = fresh.map(([log], place) =>
      Math.abs(Math.exp((answers[place] as number) - (log as number)) - 1),
    );
    return [rowOf(potPopulationNames[population], own[order] as ShareScore, off)];
  });
}

/** Four instants of a pot, spread over its way so that none tells by itself how much of it is left. */
function lessonsOf(population: PotPopulation, ofSeed: number, place: number): number[][] {
  const world = drawPot({ population, seed: ofSeed, place });
  const { readings, crossedMs } = readPot(world);
  if (crossedMs === null) return [];
  return [0, 0.25, 0.5, 0.75].flatMap((step) => {
    const share = 0.2 + 0.72 * ((place * 0.618034 + step) % 1);
    const row = rowAt(world, readings, { askMs: share * crossedMs, crossedMs });
    return row === null ? [] : [row];
  });
}

/** The log of the time left over what Springhouse told of it, then what may be known; null where nothing is told yet. */
function rowAt(
  world: PotWorld,
  readings: readonly PotReading[],
  { askMs, crossedMs }: { askMs: number; crossedMs: number },
): number[] | null {
  const outlook = outlookOf(world, readings, askMs);
  if (outlook === null) return null;
  const { crossing, levelC, nowC, rateCPerMin } = outlook;
  const minutes = ([crossing.p10, crossing.p50, crossing.p90] as const).map((atMs) =>
    atMs === null ? untoldMin : Math.max(0.2, (atMs - askMs) / 60_000),
  );
  const toGoC = world.scene.targetC - nowC;
  const means = spansMin.slice(1).map((span, place) => {
    const fromMs = askMs - span * 60_000;
    const toMs = askMs - (spansMin[place] as number) * 60_000;
    const within = readings.filter(({ atMs }) => atMs > fromMs && atMs <= toMs);
    return within.reduce((sum, { tempC }) => sum + tempC, 0) / within.length - nowC;
  });
  return [
    Math.log((crossedMs - askMs) / 60_000 / (minutes[1] as number)),
    ...[askMs / 60_000, world.scene.targetC, world.scene.volumeL, world.scene.heightM],
    ...[...minutes, nowC, rateCPerMin, toGoC, toGoC / Math.max(0.01, rateCPerMin)],
    ...[levelC.p10, levelC.p50, levelC.p90, levelC.p50 - world.scene.targetC],
    ...[outlook.lidChance, outlook.neverChance, outlook.boilsC, outlook.roomC],
    ...means,
  ];
}

function rowOf(make: string, own: ShareScore, off: readonly number[]): string[] {
  const both = (median: number, p90: number) => `${(100 * median).toFixed(1)} %, ${(100 * p90).toFixed(0)} %`;
  return [
    make,
    `${own.share * 100} %`,
    both(own.lineMedian, own.lineP90),
    both(own.median, own.p90),
    both(quantileOf(off, 0.5), quantileOf(off, 0.9)),
  ];
}
