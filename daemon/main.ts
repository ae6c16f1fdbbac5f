/** The entry: arguments, signals, exit codes. 0 done, 1 a fault of what was asked, 2 a fault of how. */
import { runBackup, runRestore } from './backup-command.ts';
import { parseCommand, type Values } from './cli/parse-command.ts';
import { runCheck, runMirrors, runProbes, runRecordVerify, runReplay } from './commands.ts';
import {
  runKey,
  runOpen,
  runPeople,
  runPeopleCode,
  runPeopleEnd,
  runPeopleRemove,
  runShut,
} from './door-commands.ts';
import { runHistoryExport } from './export-command.ts';
import { runHistoryVerify } from './history-verify-command.ts';
import { runHistoryImport } from './import-command.ts';
import { runInspect } from './inspect-command.ts';
import { runPlan } from './plan-command.ts';
import { runPrior, runPriorExport, runPriorForget } from './prior-command.ts';
import { runHouse } from './run.ts';

const asked = parseCommand(process.argv.slice(2));
switch (asked.is) {
  case 'help':
    process.stdout.write(asked.text);
    break;
  case 'fault':
    process.stderr.write(asked.text);
    process.exitCode = 2;
    break;
  case 'command':
    process.exitCode = await runCommand(asked.name, asked.values, asked.positionals);
    break;
  default:
    asked satisfies never;
}

async function runCommand(name: string, values: Values, positionals: readonly string[]): Promise<number> {
  const [file = ''] = positionals;
  switch (name) {
    case 'run':
      return runHouse(values);
    case 'check':
      return runCheck(file);
    case 'inspect':
      return runInspect(values);
    case 'open':
      return runOpen(values);
    case 'shut':
      return runShut(values);
    case 'people':
      return runPeople(values);
    case 'people code':
      return runPeopleCode(values);
    case 'people remove':
      return runPeopleRemove(file, values);
    case 'people end':
      return runPeopleEnd(file, values);
    case 'key':
      return runKey(file, values);
    case 'replay':
      return runReplay(file, values);
    case 'prior':
      return runPrior(values);
    case 'prior export':
      return runPriorExport(values);
    case 'prior forget':
      return runPriorForget(values);
    case 'plan':
      return runPlan(values);
    case 'record verify':
      return runRecordVerify(values);
    case 'history verify':
      return runHistoryVerify(values);
    case 'history export':
      return runHistoryExport(values);
    case 'history import':
      return runHistoryImport(file, values);
    case 'history backup':
      return runBackup(file, ['history.db'], values);
    case 'backup':
      return runBackup(file, ['house.db', 'history.db'], values);
    case 'restore':
      return runRestore(file, values);
    case 'mirrors':
      return runMirrors(values);
    case 'probes':
      return runProbes(values);
    default:
      throw new Error(`command ${name} is listed and not run`);
  }
}
