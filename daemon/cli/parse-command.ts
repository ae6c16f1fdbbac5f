import { parseArgs } from 'node:util';
import { type CommandSpec, commands } from './commands.ts';
import { helpOf, helpOfAll } from './help.ts';

export type Values = Record<string, string | boolean | (string | boolean)[] | undefined>;

/** What the command line asks for: a command with its values, a page of help, or nothing that there is. */
export type Asked =
  | { is: 'command'; name: string; values: Values; positionals: string[] }
  | { is: 'help'; text: string }
  | { is: 'fault'; text: string };

/** Reads the arguments after the program's name. */
export function parseCommand(argv: readonly string[]): Asked {
  const [first, second] = argv;
  if (first === undefined || first === '--help' || first === '-h' || first === 'help') {
    return { is: 'help', text: helpOfAll() };
  }
  const command = commands.find(({ name }) => name === first || name === `${first} ${second}`);
  if (command === undefined) return fault(`no command is named ${first}`, 'springhouse --help lists them.');
  const rest = argv.slice(command.name.split(' ').length);
  if (rest.includes('--help') || rest.includes('-h')) return { is: 'help', text: helpOf(command) };
  return parseRest(command, rest);
}

function parseRest(command: CommandSpec, rest: readonly string[]): Asked {
  const see = `springhouse ${command.name} --help says more.`;
  try {
    const { values, positionals } = parseArgs({
      args: [...rest],
      options: Object.fromEntries(
        Object.entries(command.options).map(([name, { type, multiple = false }]) => [
          name,
          { type, multiple },
        ]),
      ),
      allowPositionals: true,
    });
    const wanted = command.takes === undefined ? 0 : 1;
    if (positionals.length !== wanted) {
      const takes = command.takes ?? 'no argument';
      return fault(`${command.name} takes ${takes}, got ${positionals.join(' ') || 'nothing'}`, see);
    }
    return { is: 'command', name: command.name, values: values as Values, positionals };
  } catch (error) {
    const [what = ''] = (error as Error).message.split('. ');
    return fault(what.replace(/\.$/, ''), see);
  }
}

function fault(what: string, doThis: string): Asked {
  return { is: 'fault', text: `CLI_ARGUMENT: ${what}. ${doThis}\n` };
}
