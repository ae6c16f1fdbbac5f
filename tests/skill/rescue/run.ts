/**
 * `npm run skill -- rescues --simulated N [--seed S] [--population 1|2] [--docs] [--json]`: how often a way out that
 * is called "would make it" does so, on simulated jars that were warned of.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { inTwoThreads } from '../in-two-threads.ts';
import { populationNames } from '../population.ts';
import type { RescueStory } from './follow-rescues.ts';
import { scoreRescues } from './score-rescues.ts';
import { rescueTable } from './table-rescues.ts';

const { values } = parseArgs({
  options: {
    simulated: { type: 'string', default: '200' },
    seed: { type: 'string', default: '1' },
    population: { type: 'string' },
    docs: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  },
});
const jars = Number(values.simulated);
const seed = Number(values.seed);
const wanted = (values.population === undefined ? [1, 2] : [Number(values.population)]) as (1 | 2)[];

const tables: string[] = [];
for (const population of wanted) {
  const worker = new URL('./rescue-worker.ts', import.meta.url);
  const halves = await inTwoThreads<RescueStory[]>(worker, { population, seed, jars, everyS: 30 });
  const title = `Population ${population}, ${populationNames[population]}, ${jars} jars`;
  const scores = scoreRescues(halves.flat());
  tables.push(rescueTable(title, scores));
  process.stdout.write(
    values.json ? `${JSON.stringify({ population, jars, seed, scores })}\n` : `${tables.at(-1)}\n`,
  );
}
if (values.docs) {
  const command = `npm run skill -- rescues --simulated ${jars} --seed ${seed} --docs`;
  writeFileSync(
    new URL('../../../deploy/docs/ways-out-figures.md', import.meta.url),
    `# Ways out: the figures\n\nMade by \`${command}\`; see [ways-out.md](ways-out.md) for what the columns mean.\n\n${tables.join('\n')}`,
  );
}
