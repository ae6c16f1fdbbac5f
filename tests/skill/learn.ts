/**
 * Trains the learned correction and writes daemon/forecast/correction-weights.ts.
 * `node tests/skill/learn.ts [--jars 20000] [--passes 30] [--seed 11] [--populations 1,2,3] [--out FILE]`
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import type { NetWeights } from '../../daemon/forecast/learned-correction.ts';
import { gatherRows, type Rows } from './gather.ts';
import { lessonOf } from './lesson.ts';
import { trainNet } from './net.ts';
import type { PopulationNumber } from './population.ts';

const { values } = parseArgs({
  options: {
    jars: { type: 'string', default: '20000' },
    passes: { type: 'string', default: '30' },
    seed: { type: 'string', default: '11' },
    populations: { type: 'string', default: '1,2,3' },
    out: { type: 'string', default: 'daemon/forecast/correction-weights.ts' },
  },
});
const tell = (line: string) => process.stderr.write(`${line}\n`);
const gathered: Rows[] = [];
for (const population of values.populations.split(',').map(Number) as PopulationNumber[]) {
  gathered.push(
    await gatherRows({ population, seed: Number(values.seed), jars: Number(values.jars), asked: [] }),
  );
  tell(`gathered population ${population}`);
}
const lesson = lessonOf(gathered);
tell(`${lesson.count} rows of ${lesson.featureCount} features`);
writeFileSync(
  values.out,
  moduleOf(trainNet(lesson, { seed: Number(values.seed), passes: Number(values.passes), tell })),
);

function moduleOf(weights: NetWeights): string {
  const lines = (rows: number[][]) => rows.map((row) => `    [${row.join(', ')}],`).join('\n');
  return `/** Weights of the learned correction, made by tests/skill/learn.ts with ${values.jars} jars a population, ${values.passes} passes, seed ${values.seed}. */
import type { NetWeights } from './learned-correction.ts';

/** See learned-correction.ts; made, not edited. */
// biome-ignore-start lint/suspicious/noApproximativeNumericConstant: made numbers, none of them a constant
// biome-ignore format: one row a line keeps the made file short
export const correctionWeights: NetWeights = {
  hidden: [
${lines(weights.hidden)}
  ],
  inner: [
${lines(weights.inner)}
  ],
  out: [
${lines(weights.out)}
  ],
};
// biome-ignore-end lint/suspicious/noApproximativeNumericConstant: made numbers, none of them a constant
`;
}
