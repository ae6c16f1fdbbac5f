/** `springhouse plan`: which place would make the house rule with this milk; needs no running house. Wiring. */
import { material } from '../shared/contract/ids.ts';
import { parseTemp, parseVolume } from '../shared/units/parse.ts';
import type { Values } from './cli/parse-command.ts';
import { planTable } from './cli/plan-table.ts';
import { faults, text } from './commands.ts';
import { readHouse } from './config/read-house.ts';
import { planChill } from './forecast/plan-chill.ts';

/** Milk as it goes in, °C, a little under the animal's: common practice, no source. */
const fromUsualC = 36;

/** Prints the plan of a house file's places; 1 where that file has faults, 2 where an option has. */
export async function runPlan(values: Values): Promise<number> {
  const read = await readHouse(text(values.house) ?? 'springhouse.yaml');
  if (!read.ok)
    return faults(
      read.faults.map(({ message }) => message),
      1,
    );
  const { chill, house, places, probes } = read.house;
  const volumeL = parseVolume(text(values.volume) ?? '');
  const fromText = text(values.from);
  const fromC = fromText === null ? fromUsualC : parseTemp(fromText);
  const made = text(values.material);
  const parsed = material.safeParse(made);
  const wrong: string[] = [];
  if (volumeL === null || volumeL <= 0 || volumeL > 1000)
    wrong.push(rule('--volume', 'an amount such as 0.95L', text(values.volume)));
  if (fromC === null || fromC > 60) wrong.push(rule('--from', 'a temperature such as 36C', fromText));
  if (made !== null && !parsed.success)
    wrong.push(rule('--material', `one of ${material.options.join(', ')}`, made));
  if (wrong.length > 0 || volumeL === null || fromC === null) return faults(wrong, 2);
  const asked = {
    volumeL,
    material: parsed.success ? parsed.data : null,
    fromC,
    limitC: chill.limitC,
    marginC: chill.guard ? Math.max(0, ...probes.map(({ uncertaintyC }) => uncertaintyC)) : 0,
    spanMin: chill.spanMs / 60_000,
  };
  const thought = places
    .filter(({ kind }) => kind !== 'pot' && kind !== 'warm-box')
    .map(({ id, kind, tempC }) => ({ id, kind, aroundC: tempC }));
  const ways = planChill(asked, thought);
  process.stdout.write(
    values.json === true
      ? `${JSON.stringify({ v: 1, asked, ways })}\n`
      : planTable(ways, { asked, units: house.units, places }),
  );
  return 0;
}

function rule(option: string, must: string, got: string | null): string {
  return `PLAN_OPTION: ${option} must be ${must}, got ${got ?? 'nothing'}. See springhouse plan --help.`;
}
