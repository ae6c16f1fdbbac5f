/** Reads, plays and judges scenarios; the one way for the tests and for `node tests/scenario/run.ts FILE…`. */
import { readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { judgeScenario, tell } from './language/judge.ts';
import { parseScenario } from './language/parse.ts';
import { playScenario } from './language/play.ts';

/** What came of one: its title, what does not hold (nothing where all does), and all that was said. */
export type ScenarioOutcome = { title: string; failures: string[]; said: string[] };

/** The scenarios of this folder. */
export function scenarioFiles(): string[] {
  const folder = fileURLToPath(new URL('./', import.meta.url));
  return readdirSync(folder)
    .filter((file) => file.endsWith('.txt'))
    .map((file) => `${folder}${file}`);
}

/** Runs one file; a text at fault is not played. */
export function runScenario(file: string): ScenarioOutcome {
  const name = basename(file);
  const parsed = parseScenario(readFileSync(file, 'utf8'), name);
  if (!parsed.ok) return { title: name, failures: parsed.faults, said: [] };
  const said = playScenario(parsed.scenario);
  return {
    title: parsed.scenario.title,
    failures: judgeScenario(parsed.scenario, said),
    said: said.map(tell),
  };
}
