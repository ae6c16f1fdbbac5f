/**
 * `npm run skill -- pots --simulated N [--seed S] [--population 1|2] [--json]`: scores the forecast of a heat
 * beside a straight line, the cue to turn off, and whether a probe out of its milk is found, on simulated pots of two
 * makes.
 */
import { parseArgs } from 'node:util';
import { coastPot } from './coast-pot.ts';
import { followPot, type PotStory } from './follow-pot.ts';
import { drawPot, type PotPopulation, potPopulationNames } from './population.ts';
import { type PotScore, scoreCoasts, scorePots } from './score-pots.ts';
import { trustLine, trustPot } from './trust-pot.ts';

/** Runs with the arguments after `pots`; prints a table, or a JSON object a part. */
export function runPots(args: readonly string[]): void {
  const { values } = parseArgs({
    args: [...args],
    options: {
      simulated: { type: 'string', default: '200' },
      seed: { type: 'string', default: '1' },
      population: { type: 'string' },
      json: { type: 'boolean', default: false },
    },
  });
  const seed = Number(values.seed);
  const count = Number(values.simulated);
  const wanted = (values.population === undefined ? [1, 2] : [Number(values.population)]) as PotPopulation[];
  for (const population of wanted) {
    const places = Array.from({ length: count }, (_, place) => place);
    const stories = places.map((place) => followPot(() => drawPot({ population, seed, place })));
    const coasts = scoreCoasts(
      places.slice(0, Math.ceil(count / 2)).map((place) => coastPot(drawPot({ population, seed, place }))),
    );
    const trusts = (['none', 'touching', 'lifted'] as const).map((trouble) =>
      trustLine(
        trouble,
        places.flatMap((place) => trustPot({ population, seed, place, trouble }) ?? []),
      ),
    );
    const scores = partsOf(`Population ${population}, ${potPopulationNames[population]}`, stories);
    if (values.json) {
      for (const score of scores) print(JSON.stringify({ seed, ...score }));
      print(JSON.stringify({ seed, title: `Population ${population}: heat off now`, ...coasts }));
      print(JSON.stringify({ seed, title: `Population ${population}: probes`, said: trusts }));
    } else {
      for (const score of scores) print(tableOf(score));
      const percent = (100 * coasts.within1C).toFixed(0);
      print(
        `heat off now: ${coasts.said} of ${coasts.pots} pots told, peak within 1 °C in ${percent} %, 80 % from ${coasts.p10C.toFixed(1)} to ${coasts.p90C.toFixed(1)} °C`,
      );
      print(`${trusts.join('\n')}\n`);
    }
  }
}

/** All, then those whose knob was not turned after half way, nor their probe on the bottom. */
function partsOf(title: string, stories: readonly PotStory[]): PotScore[] {
  const foreseeable = stories.filter(({ scene, turnedAfter }) => !scene.touching && turnedAfter[1] !== true);
  return [
    scorePots(title, stories),
    scorePots(`${title}: left alone after half way`, foreseeable),
    scorePots(
      `${title}: with a lid`,
      foreseeable.filter(({ scene }) => scene.lid),
    ),
    scorePots(
      `${title}: without a lid`,
      foreseeable.filter(({ scene }) => !scene.lid),
    ),
  ];
}

function tableOf({ title, shares, never }: PotScore): string {
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`.padStart(8);
  const rows = shares.map(
    (one) =>
      `  at ${percent(one.share)} of the way: off by ${percent(one.median)} in the median, ${percent(one.p90)} at p90; a line ${percent(one.lineMedian)}, ${percent(one.lineP90)}; interval holds ${percent(one.covered)}; said never ${one.saidNever} of ${one.pots}`,
  );
  return `${title}\n${rows.join('\n')}\n  never there: ${never.told} of ${never.pots} told so by half way`;
}

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}
