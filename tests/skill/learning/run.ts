/**
 * `npm run skill -- learning --houses N [--seed S] [--docs] [--json]`: how much nearer the median crossing at minute 15
 * is once a house has been seen, and with one label of twenty wrong.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { tableLines } from '../../../deploy/docs/table.ts';
import { inTwoThreads } from '../in-two-threads.ts';
import { populationNames } from '../population.ts';
import { quantileOf } from '../quantile-of.ts';
import { type Asked, stages, wrongShares } from './follow-house.ts';

const { values } = parseArgs({
  options: {
    houses: { type: 'string', default: '100' },
    seed: { type: 'string', default: '1' },
    docs: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  },
});
const course = { jars: Number(values.houses), seed: Number(values.seed) };
const rows: Row[] = [];
const everything: Asked[] = [];
for (const population of [1, 2] as const) {
  const file = new URL('./house-worker.ts', import.meta.url);
  const asked = (await inTwoThreads<Asked[]>(file, { ...course, population })).flat();
  everything.push(...asked);
  rows.push(...rowsOf(populationNames[population], asked));
}
rows.push(...rowsOf('both', everything));
const table = tableLines(head(), rows.map(cellsOf)).join('\n');
const lines = rows.map((row) => JSON.stringify({ ...row, houses: course.jars, seed: course.seed }));
process.stdout.write(`${values.json ? lines.join('\n') : table}\n`);
if (values.docs) {
  const command = `npm run skill -- learning --houses ${course.jars} --seed ${course.seed} --docs`;
  const page = `# Learning this house: the figures\n\nMade by \`${command}\`; see [learning.md](learning.md) for what they mean.\n\n${table}\n`;
  writeFileSync(new URL('../../../deploy/docs/learning-figures.md', import.meta.url), page);
}

type Row = {
  name: string;
  wrong: number;
  stage: number;
  chills: number;
  unlearnedMin: number;
  learnedMin: number;
  unlearnedP90Min: number;
  learnedP90Min: number;
  unlearnedHolds: number;
  learnedHolds: number;
};

function head(): string[] {
  return [
    'houses of',
    'labels wrong %',
    'chills seen',
    'chills asked',
    'median error unlearned',
    'learned, min',
    'less by %',
    'p90 unlearned',
    'learned, min',
    '80 % interval holds %: unlearned',
    'learned',
  ];
}

function rowsOf(name: string, asked: readonly Asked[]): Row[] {
  return wrongShares.flatMap((wrong) =>
    stages.map((stage) => {
      const own = asked.filter((one) => one.stage === stage && one.wrong === wrong);
      return {
        name,
        wrong,
        stage,
        chills: own.length,
        unlearnedMin: quantileOf(
          own.map(({ unlearnedMin }) => unlearnedMin),
          0.5,
        ),
        learnedMin: quantileOf(
          own.map(({ learnedMin }) => learnedMin),
          0.5,
        ),
        unlearnedP90Min: quantileOf(
          own.map(({ unlearnedMin }) => unlearnedMin),
          0.9,
        ),
        learnedP90Min: quantileOf(
          own.map(({ learnedMin }) => learnedMin),
          0.9,
        ),
        unlearnedHolds: shareOf(own.flatMap(({ coveredUnlearned }) => coveredUnlearned ?? [])),
        learnedHolds: shareOf(own.flatMap(({ covered }) => covered ?? [])),
      };
    }),
  );
}

function cellsOf(row: Row): string[] {
  const percent = (share: number) => (100 * share).toFixed(0);
  return [
    row.name,
    percent(row.wrong),
    `${row.stage}`,
    `${row.chills}`,
    row.unlearnedMin.toFixed(2),
    row.learnedMin.toFixed(2),
    percent(1 - row.learnedMin / row.unlearnedMin),
    row.unlearnedP90Min.toFixed(1),
    row.learnedP90Min.toFixed(1),
    percent(row.unlearnedHolds),
    percent(row.learnedHolds),
  ];
}

function shareOf(held: readonly boolean[]): number {
  return held.filter((one) => one).length / held.length;
}
