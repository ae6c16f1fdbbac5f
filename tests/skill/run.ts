/**
 * `npm run skill -- FOLDER | --simulated N [--seed S] [--population 1|2] [--every SECONDS] [--docs] [--json]`:
 * scores the forecast beside two baselines on jars of a folder or on simulated ones. `pots` first: on pots.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { folderJars } from './folder.ts';
import { followJar, type JarStory } from './follow-jar.ts';
import { followPopulation } from './follow-population.ts';
import { isAble, type Scene } from './jar.ts';
import { skillPicture } from './picture.ts';
import { type PopulationNumber, populationNames } from './population.ts';
import { runPots } from './pot/run.ts';
import { type Score, scoreStories } from './score.ts';
import { skillTable } from './table.ts';

if (process.argv[2] === 'pots') {
  runPots(process.argv.slice(3));
  process.exit(0);
}

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    simulated: { type: 'string' },
    seed: { type: 'string', default: '1' },
    population: { type: 'string' },
    every: { type: 'string', default: '30' },
    docs: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  },
});
const everyS = Number(values.every);

type Part = { title: string; stories: JarStory[] };

const groups = await gatherStories();
const parts = groups.flatMap(byPlace);
const scored = parts.map(({ title, stories }) => ({
  title,
  jars: stories.length,
  scores: scoreStories(stories),
}));
if (values.json) {
  for (const part of scored) print(JSON.stringify({ ...part, seed: Number(values.seed) }));
} else {
  for (const { title, jars, scores } of scored) print(skillTable(`${title}, ${jars} jars`, scores));
}
if (values.docs) writeDocs(scored);

async function gatherStories(): Promise<Part[]> {
  const [folder] = positionals;
  if (values.simulated === undefined) {
    if (folder === undefined) throw new Error('SKILL_ARGS: give a FOLDER of jars or --simulated N.');
    return [{ title: folder, stories: folderJars(folder).map((jar) => followJar(jar, everyS)) }];
  }
  const jars = Number(values.simulated);
  const wanted = (
    values.population === undefined ? [1, 2] : [Number(values.population)]
  ) as PopulationNumber[];
  const found: Part[] = [];
  for (const population of wanted) {
    const stories = await followPopulation({ population, seed: Number(values.seed), jars, everyS });
    found.push({ title: `Population ${population}, ${populationNames[population]}`, stories });
  }
  return found;
}

/** The whole, then the places that can make the hour and those that cannot, then each place. */
function byPlace({ title, stories }: Part): Part[] {
  const able = (story: JarStory) => isAble(story.scene as Scene) || story.scene === 'ice-bath';
  const scenes = [...new Set(stories.map(({ scene }) => scene))].sort();
  const parts = [
    { title, stories },
    { title: `${title}: ice and moving air`, stories: stories.filter(able) },
    { title: `${title}: other places`, stories: stories.filter((story) => !able(story)) },
    ...scenes.map((scene) => ({
      title: `${title}: ${scene}`,
      stories: stories.filter((story) => story.scene === scene),
    })),
  ];
  return parts.filter((part) => part.stories.length > 0);
}

function writeDocs(all: readonly { title: string; jars: number; scores: Score[] }[]): void {
  const folder = new URL('../../deploy/docs/', import.meta.url);
  mkdirSync(folder, { recursive: true });
  const command = `npm run skill -- --simulated ${values.simulated} --seed ${values.seed} --docs`;
  const tables = all
    .filter(
      ({ title }) =>
        !title.includes(':') || title.includes('ice and moving air') || title.includes('other places'),
    )
    .map(({ title, jars, scores }) => skillTable(`${title}, ${jars} jars`, scores));
  writeFileSync(
    new URL('skill-figures.md', folder),
    `# Skill: the figures\n\nMade by \`${command}\`; see [skill.md](skill.md) for what the columns mean.\n\n${tables.join('\n')}`,
  );
  writeFileSync(new URL('skill.svg', folder), skillPicture(all.filter(({ title }) => !title.includes(':'))));
}

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}
