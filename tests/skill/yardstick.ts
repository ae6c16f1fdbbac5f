/**
 * About what can be known: boosting trained on tens of thousands of jars of the very population that it is then
 * asked about, beside the better baseline and Springhouse, on the same fresh jars.
 * `node tests/skill/yardstick.ts [--learn 20000] [--jars 3000] [--seed 1] [--docs]`; needs Debian's python3-sklearn.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { correctedShare, correctionOf } from '../../daemon/forecast/learned-correction.ts';
import { tableLines } from '../../deploy/docs/table.ts';
import { exponentialForecast, lineForecast } from './baselines.ts';
import { gatherRows, type Rows } from './gather.ts';
import { deadlineMin } from './jar.ts';
import { featuresFrom, oddsFrom } from './lesson.ts';
import { type PopulationNumber, populationJar, populationNames } from './population.ts';
import { runLearner } from './run-learner.ts';

const asked = [15, 20, 30];
const { values } = parseArgs({
  options: {
    learn: { type: 'string', default: '20000' },
    jars: { type: 'string', default: '3000' },
    seed: { type: 'string', default: '1' },
    docs: { type: 'boolean', default: false },
  },
});
const [learn, jars, seed] = [Number(values.learn), Number(values.jars), Number(values.seed)];

/** Right verdicts in percent at the asked minutes. */
type Right = { told: boolean; baseline: number[]; springhouse: number[]; learner: number[] };

const rows: string[][] = [];
for (const population of [1, 2] as const) {
  for (const right of await measure(population)) rows.push(rowOf(populationNames[population], right));
}
const head = [
  'population',
  'told',
  'better baseline',
  'Springhouse',
  'learner of that population',
  'part of the way',
];
const table = `${tableLines(head, rows).join('\n')}\n`;
process.stdout.write(table);
if (values.docs)
  writeFileSync(new URL('../../deploy/docs/skill-yardstick.md', import.meta.url), pageOf(table));

async function measure(population: PopulationNumber): Promise<Right[]> {
  const known = await gatherRows({ population, seed: seed + 1, jars: learn, asked });
  const fresh = await gatherRows({ population, seed, jars, asked });
  const chances = learned(known, fresh);
  return [false, true].map((told) => {
    const open = asked.map(() => 0);
    const baselines = [asked.map(() => 0), asked.map(() => 0)] as const;
    for (let place = 0; place < jars; place++) {
      const jar = populationJar(population, seed, place);
      for (const [order, atMin] of asked.entries()) {
        if (jar.crossedMin !== null && jar.crossedMin <= atMin) continue;
        open[order] = (open[order] as number) + 1;
        const makes = jar.crossedMin !== null && jar.crossedMin <= deadlineMin;
        const said = [lineForecast(jar, atMin), exponentialForecast(jar, atMin, told)];
        for (const [which, forecast] of said.entries()) {
          if (forecast !== null && forecast.chance >= 0.5 === makes) add(baselines[which], order);
        }
      }
    }
    const share = (counts: readonly number[]) =>
      counts.map((count, order) => (100 * count) / (open[order] ?? 1));
    const better = baselines
      .map(share)
      .reduce((a, b) => a.map((value, order) => Math.max(value, b[order] ?? 0)));
    return {
      told,
      baseline: better,
      springhouse: share(rightIn(fresh, told, (row) => ownChance(row))),
      learner: share(rightIn(fresh, told, (_, place) => chances[place] as number)),
    };
  });
}

/** A jar of which nothing could be said has no row, and so counts as wrong. */
function rightIn(
  fresh: Rows,
  told: boolean,
  chanceOf: (row: Float32Array, place: number) => number,
): number[] {
  const right = asked.map(() => 0);
  for (let place = 0; place * fresh.width < fresh.rows.length; place++) {
    const row = fresh.rows.subarray(place * fresh.width, (place + 1) * fresh.width);
    if ((row[2] === 1) !== told) continue;
    const makes = (row[4] as number) <= deadlineMin;
    if (chanceOf(row, place) >= 0.5 === makes) add(right, asked.indexOf(Math.round(row[3] as number)));
  }
  return right;
}

function ownChance(row: Float32Array): number {
  const odds = oddsFrom(row);
  return correctedShare(1 / (1 + Math.exp(-odds)), 1, correctionOf(featuresFrom(row)));
}

function add(counts: number[] | undefined, place: number): void {
  if (counts !== undefined) counts[place] = (counts[place] ?? 0) + 1;
}

function learned(known: Rows, fresh: Rows): Float32Array {
  return runLearner(new URL('./yardstick.py', import.meta.url), {
    known: known.rows,
    fresh: fresh.rows,
    args: [`${known.width}`, `${deadlineMin}`],
  });
}
function rowOf(population: string, { told, baseline, springhouse, learner }: Right): string[] {
  const parts = asked.map((_, order) => {
    const from = baseline[order] as number;
    return `${(((springhouse[order] as number) - from) / ((learner[order] as number) - from)).toFixed(2)}`;
  });
  const figures = [baseline, springhouse, learner].map((right) =>
    right.map((value) => value.toFixed(1)).join(' / '),
  );
  return [population, told ? 'place, volume' : 'nothing', ...figures, parts.join(' / ')];
}

function pageOf(table: string): string {
  return `# Skill: beside what can be known

Right verdicts in percent at minutes ${asked.join(' / ')} of ${jars} fresh jars a population (seed ${seed}). The learner is
scikit-learn's gradient boosting, trained on ${learn} other jars of the same population, which no house can have: about
what can be known there. The last column says how much of the way from the better baseline to that learner the forecast goes. The forecast's
own correction was trained on other jars of these populations, too, so in a dairy it may go less of the way.

Made by \`node tests/skill/yardstick.ts --learn ${learn} --jars ${jars} --seed ${seed} --docs\`; see [skill.md](skill.md).

${table}`;
}
