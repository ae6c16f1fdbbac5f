/**
 * Prints how well cold places are kept watch over, on simulated fridges:
 * `npm run skill -- keep --days 60 --seed S [--faults N] [--fridges N] [--jar] [--json] [--why]`.
 */
import { parseArgs } from 'node:util';
import { scoreFault, scoreQuiet, summary } from './score.ts';

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
    faults: { type: 'string', default: '12' },
    fridges: { type: 'string', default: '1' },
    jar: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
    why: { type: 'boolean', default: false },
  },
});
const seed = Number(values.seed);
const probeIn = values.jar ? 'jar' : 'air';
const quiet = Array.from({ length: Number(values.fridges) }, (_, place) =>
  scoreQuiet({ seed: seed * 1000 + place, days: Number(values.days), probeIn }),
);
const faults = (['compressor', 'power', 'ajar', 'failing'] as const).flatMap((fault) =>
  Array.from({ length: Number(values.faults) }, (_, place) =>
    scoreFault({ seed: seed * 100_000 + place * 10 + fault.length, fault, probeIn }),
  ),
);
const print = (line: string) => process.stdout.write(`${line}\n`);
const figures = summary({ quiet, faults });
print(
  values.json
    ? JSON.stringify({ seed, days: Number(values.days), probeIn, ...figures })
    : JSON.stringify(figures, null, 1),
);
if (values.why) {
  for (const one of quiet) for (const line of one.why) print(line);
  for (const one of faults) print(one.why);
}
