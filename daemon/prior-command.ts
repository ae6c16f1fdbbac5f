/** `springhouse prior …`: what the house has learned of its places, shown, exported and forgotten. Wiring. */
import { randomUUID } from 'node:crypto';
import { writeFile } from 'node:fs/promises';
import type { HousePrior } from '../shared/contract/prior.ts';
import { askOwner } from './ask-owner.ts';
import type { Values } from './cli/parse-command.ts';
import { priorTable } from './cli/prior-table.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import { keptPrior } from './kept-prior.ts';
import { openReader } from './reader.ts';

const nothing: HousePrior = { v: 1, lessons: [] };

/** `springhouse prior`: a line a lesson; also while the house runs. */
export function runPrior(values: Values): Promise<number> {
  return withPrior(values, async (prior) => {
    process.stdout.write(values.json === true ? `${JSON.stringify(prior)}\n` : priorTable(prior));
    return 0;
  });
}

/** `springhouse prior export`: the file that `replay --prior` reads. */
export function runPriorExport(values: Values): Promise<number> {
  return withPrior(values, async (prior) => {
    const file = text(values.out);
    const written = `${JSON.stringify(prior, null, 1)}\n`;
    if (file === null) process.stdout.write(written);
    else await writeFile(file, written, { flag: 'wx' });
    return 0;
  });
}

/** `springhouse prior forget`: said to the running house, so that it stands in the record. */
export async function runPriorForget(values: Values): Promise<number> {
  const word = { v: 1, id: randomUUID(), word: { kind: 'prior-forget' } };
  const answered = await askOwner(dataDirOf(values), '/api/words', word);
  switch (answered.is) {
    case 'answer':
      process.stdout.write(
        'Forgotten: the next chills go by what is usual. The record keeps what was learned.\n',
      );
      return 0;
    case 'refused':
      return faults([answered.message], 1);
    case 'away':
      return faults(
        ['HOUSE_AWAY: the house must be running to be told, got none. Start it with springhouse run.'],
        1,
      );
    default:
      return answered satisfies never;
  }
}

async function withPrior(values: Values, show: (prior: HousePrior) => Promise<number>): Promise<number> {
  try {
    const reader = await openReader({ dataDir: dataDirOf(values) });
    try {
      return await show((await keptPrior(reader)) ?? nothing);
    } finally {
      await reader.close();
    }
  } catch (error) {
    return faults([(error as Error).message], 1);
  }
}

function dataDirOf(values: Values): string {
  return text(values.data) ?? readEnvironment().dataDir;
}
