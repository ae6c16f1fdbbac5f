/** `springhouse plan`: which place would make the house rule with this milk; needs no running house. Wiring. */
import { material } from '../shared/contract/ids.ts';
import { plannedFromC } from '../shared/contract/plan.ts';
import type { HousePrior } from '../shared/contract/prior.ts';
import { parseTemp, parseVolume } from '../shared/units/parse.ts';
import type { Values } from './cli/parse-command.ts';
import { planTable } from './cli/plan-table.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import { readHouse } from './config/read-house.ts';
import { planOfHouse } from './house-plan.ts';
import { keptPrior } from './kept-prior.ts';
import { openReader } from './reader.ts';

/** Prints the plan of a house file's places; 1 where that file has faults, 2 where an option has. */
export async function runPlan(values: Values): Promise<number> {
  const read = await readHouse(text(values.house) ?? 'springhouse.yaml');
  if (!read.ok)
    return faults(
      read.faults.map(({ message }) => message),
      1,
    );
  const { house, places } = read.house;
  const volumeL = parseVolume(text(values.volume) ?? '');
  const fromText = text(values.from);
  const fromC = fromText === null ? plannedFromC : parseTemp(fromText);
  const made = text(values.material);
  const parsed = material.safeParse(made);
  const wrong: string[] = [];
  if (volumeL === null || volumeL <= 0 || volumeL > 1000)
    wrong.push(rule('--volume', 'an amount such as 0.95L', text(values.volume)));
  if (fromC === null || fromC > 60) wrong.push(rule('--from', 'a temperature such as 36C', fromText));
  if (made !== null && !parsed.success)
    wrong.push(rule('--material', `one of ${material.options.join(', ')}`, made));
  if (wrong.length > 0 || volumeL === null || fromC === null) return faults(wrong, 2);
  const prior = await priorOf(values);
  const { asked, ways } = planOfHouse(read.house, prior, {
    volumeL,
    material: parsed.success ? parsed.data : null,
    fromC,
  });
  process.stdout.write(
    values.json === true
      ? `${JSON.stringify({ v: 1, asked, ways })}\n`
      : planTable(ways, { asked, units: house.units, places }),
  );
  return 0;
}

/** What the house learned, where it has a data folder already; a plan needs none. */
async function priorOf(values: Values): Promise<HousePrior | null> {
  const reader = await openReader({ dataDir: text(values.data) ?? readEnvironment().dataDir });
  try {
    return await keptPrior(reader);
  } catch {
    return null;
  } finally {
    await reader.close();
  }
}

function rule(option: string, must: string, got: string | null): string {
  return `PLAN_OPTION: ${option} must be ${must}, got ${got ?? 'nothing'}. See springhouse plan --help.`;
}
