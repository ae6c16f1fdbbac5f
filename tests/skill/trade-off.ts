/**
 * What a warning earlier or later would cost: lead against false warnings as the rule's threshold moves.
 * `node tests/skill/trade-off.ts [--jars 1000] [--seed 1] [--docs]`
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import type { ChillOutlook } from '../../daemon/forecast/chill-forecast.ts';
import { openWarning, type WarningRule, warningRule, weighWarning } from '../../daemon/forecast/warning.ts';
import { tableLines } from '../../deploy/docs/table.ts';
import { type Mode, modes, questionOf } from './follow-jar.ts';
import { inTwoThreads } from './in-two-threads.ts';
import { deadlineMin, type SkillJar } from './jar.ts';
import { type PopulationNumber, populationNames } from './population.ts';
import type { ChanceStory } from './trade-off-worker.ts';

const { values } = parseArgs({
  options: {
    jars: { type: 'string', default: '1000' },
    seed: { type: 'string', default: '1' },
    docs: { type: 'boolean', default: false },
  },
});
const jars = Number(values.jars);
const seed = Number(values.seed);

/** Thresholds of the smoothed log-odds, the rule's own among them, and how long they are smoothed. */
const leans = { untold: warningRule.leanUntold, told: warningRule.leanTold };
const shifts = [0.9, 0.6, 0.3, 0, -0.3, -0.6, -0.9];
const smoothings = [1, warningRule.smoothedMin, 6];

const rows: string[][] = [];
for (const population of [1, 2] as const) {
  const stories = await followed(population);
  for (const mode of modes) {
    for (const smoothedMin of smoothings) {
      for (const shift of shifts) {
        if (smoothedMin !== warningRule.smoothedMin && Math.abs(shift) > 0.3) continue;
        const lean = leans[mode] + shift;
        const rule = { ...warningRule, smoothedMin, leanTold: lean, leanUntold: lean };
        rows.push(
          rowOf(
            { population, mode, rule, lean, own: shift === 0 && smoothedMin === warningRule.smoothedMin },
            stories,
          ),
        );
      }
    }
  }
}
const head = [
  'population',
  'told',
  'smoothed, min',
  'threshold',
  'lead: median',
  'lower quartile, min',
  'false, jars that stay %',
  'all %',
];
const table = `${tableLines(head, rows).join('\n')}\n`;
process.stdout.write(table);
if (values.docs) {
  writeFileSync(
    new URL('../../deploy/docs/skill-trade-off.md', import.meta.url),
    `# Skill: lead against false warnings\n\nMade by \`node tests/skill/trade-off.ts --jars ${jars} --seed ${seed} --docs\`; see [skill.md](skill.md). The rule's own rows are bold.\n\n${table}`,
  );
}

async function followed(population: PopulationNumber): Promise<ChanceStory[]> {
  const file = new URL('./trade-off-worker.ts', import.meta.url);
  return (await inTwoThreads<ChanceStory[]>(file, { population, seed, jars })).flat();
}

/** The minute of the warning under a rule; null where it never comes. */
function warnedMin(story: ChanceStory, mode: Mode, rule: WarningRule): number | null {
  const jar = { place: story.place, volumeL: null } as SkillJar;
  const question = questionOf(jar, mode);
  let state = openWarning();
  for (const [dataToMs, chance] of story.said[mode]) {
    const weighed = weighWarning(state, { chance } as ChillOutlook, question, dataToMs, rule);
    if (weighed.warn) return dataToMs / 60_000;
    state = weighed.state;
  }
  return null;
}

function rowOf(
  of: { population: PopulationNumber; mode: Mode; rule: WarningRule; lean: number; own: boolean },
  stories: readonly ChanceStory[],
): string[] {
  const leads: number[] = [];
  const wrong = { staying: 0, all: 0 };
  const good = { staying: 0, all: 0 };
  for (const story of stories) {
    const atMin = warnedMin(story, of.mode, of.rule);
    const { crossedMin } = story;
    if (crossedMin === null || crossedMin > deadlineMin) {
      leads.push(deadlineMin - (atMin ?? deadlineMin));
      continue;
    }
    const isFalse = atMin !== null && atMin < crossedMin ? 1 : 0;
    good.all++;
    wrong.all += isFalse;
    if (story.moved) continue;
    good.staying++;
    wrong.staying += isFalse;
  }
  leads.sort((a, b) => a - b);
  const lead = (share: number) => (leads[Math.floor(share * leads.length)] ?? 0).toFixed(1);
  const percent = (part: number, whole: number) => ((100 * part) / whole).toFixed(1);
  const cells = [
    populationNames[of.population],
    of.mode === 'told' ? 'place, volume' : 'nothing',
    `${of.rule.smoothedMin}`,
    of.lean.toFixed(2),
    lead(0.5),
    lead(0.25),
    percent(wrong.staying, good.staying),
    percent(wrong.all, good.all),
  ];
  return cells.map((cell) => (of.own ? `**${cell}**` : cell));
}
