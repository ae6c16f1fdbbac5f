/** The environment of the process; nothing else reads it. */

import { homedir } from 'node:os';
import { join } from 'node:path';

/** Where the house file and the data are unless the command line says so. */
export type Environment = {
  /** The house file: SPRINGHOUSE_HOUSE, else springhouse.yaml in the working folder. */
  houseFile: string;
  /** The data folder: SPRINGHOUSE_DATA, else systemd's STATE_DIRECTORY, else one in the home folder. */
  dataDir: string;
  /** NOTIFY_SOCKET, by which systemd wants to be told how the daemon is; null where it does not. */
  notifySocket: string | null;
  /** WATCHDOG_USEC in ms: how long the daemon may be silent; null where it may for ever. */
  watchdogMs: number | null;
};

/** Reads the variables that have a meaning here; an empty one counts as not set. */
export function readEnvironment(variables: NodeJS.ProcessEnv = process.env): Environment {
  const dataHome = set(variables.XDG_DATA_HOME) ?? join(homedir(), '.local', 'share');
  // systemd lists several folders with colons between them; this unit has one.
  const stateDir = set(variables.STATE_DIRECTORY)?.split(':')[0] ?? null;
  const dataDir = set(variables.SPRINGHOUSE_DATA) ?? stateDir ?? join(dataHome, 'springhouse');
  const watchdogUs = Number(set(variables.WATCHDOG_USEC) ?? 0);
  return {
    houseFile: set(variables.SPRINGHOUSE_HOUSE) ?? 'springhouse.yaml',
    dataDir,
    notifySocket: set(variables.NOTIFY_SOCKET),
    watchdogMs: watchdogUs > 0 ? watchdogUs / 1000 : null,
  };
}

/** The value of one variable, for a secret that the house file names; null where it is not set or empty. */
export function readVariable(name: string, variables: NodeJS.ProcessEnv = process.env): string | null {
  return set(variables[name]);
}

function set(value: string | undefined): string | null {
  return value === undefined || value === '' ? null : value;
}
