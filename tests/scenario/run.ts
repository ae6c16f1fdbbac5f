/** Runs scenarios and prints what does not hold: `node tests/scenario/run.ts FILE… [--said]`; all of them without a file. */
import { runScenario, scenarioFiles } from './run-scenario.ts';

const args = process.argv.slice(2);
const files = args.filter((arg) => !arg.startsWith('--'));
let failed = 0;
for (const file of files.length > 0 ? files : scenarioFiles()) {
  const { failures, said, title } = runScenario(file);
  failed += failures.length;
  process.stdout.write(`${failures.length === 0 ? 'holds' : 'FAILS'}: ${title}\n`);
  for (const line of failures) process.stdout.write(`  ${line}\n`);
  if (args.includes('--said')) for (const line of said) process.stdout.write(`    ${line}\n`);
}
process.exitCode = failed === 0 ? 0 : 1;
