/** The pages that `--help` shows, laid out from what each command says of itself. */
import { capital } from '../../shared/sentences/capital.ts';
import { type CommandSpec, commands, type OptionSpec } from './commands.ts';

/** The page that `--help` shows for one command. */
export function helpOf(command: CommandSpec): string {
  const width = Math.max(
    0,
    ...Object.entries(command.options).map(([name, spec]) => optionHead(name, spec).length),
  );
  const options = [
    ...Object.entries(command.options),
    ['help', { type: 'boolean', says: 'this page' }] as const,
  ].map(([name, spec]) => `  ${optionHead(name, spec).padEnd(Math.min(width, headMax))}  ${spec.says}`);
  const takes = command.takes === undefined ? '' : ` ${command.takes}`;
  const lines = [
    `springhouse ${command.name}${takes} [options]`,
    '',
    capital(`${command.summary}.`),
    '',
    ...options,
  ];
  if (command.more !== undefined) lines.push('', command.more);
  return `${lines.join('\n')}\n`;
}

/** The page that `springhouse --help` shows. */
export function helpOfAll(): string {
  const width = Math.max(...commands.map(({ name, takes = '' }) => `${name} ${takes}`.length));
  return `${[
    'springhouse COMMAND [options]: watches the temperatures of a small dairy',
    '',
    ...commands.map(({ name, takes = '', summary }) => `  ${`${name} ${takes}`.padEnd(width)}  ${summary}`),
    '',
    'springhouse COMMAND --help says more. It advises; it never certifies.',
  ].join('\n')}\n`;
}

/** Heads of options wider than this do not push the others aside. */
const headMax = 30;

function optionHead(name: string, { value }: OptionSpec): string {
  return value === undefined ? `--${name}` : `--${name} ${value}`;
}
