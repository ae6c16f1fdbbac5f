/**
 * Prints how well insertions and removals are felt on everyday data:
 * `npm run skill -- everyday --days 30 --seed S [--every S] [--lag S] [--json|--why]`.
 */
import { parseArgs } from 'node:util';
import { playDays } from './days.ts';
import { judgeDays } from './score.ts';

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '30' },
    seed: { type: 'string', default: '1' },
    every: { type: 'string' },
    lag: { type: 'string' },
    json: { type: 'boolean', default: false },
    why: { type: 'boolean', default: false },
  },
});
const everyday = playDays({
  days: Number(values.days),
  seed: Number(values.seed),
  ...(values.every === undefined ? {} : { everyS: Number(values.every) }),
  ...(values.lag === undefined ? {} : { lagS: Number(values.lag) }),
});
const { figures, failures } = judgeDays(everyday);
const print = (line: string) => process.stdout.write(`${line}\n`);
if (values.json) print(JSON.stringify({ seed: Number(values.seed), days: Number(values.days), ...figures }));
else
  print(
    Object.entries(figures)
      .map(([name, value]) => `${name}: ${JSON.stringify(value)}`)
      .join('\n'),
  );
if (values.why) for (const failure of failures) print(failure);
