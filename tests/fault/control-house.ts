/** A daemon in a process of its own that differs from the real one in what a proof says. */
import { dirname } from 'node:path';
import { parseArgs } from 'node:util';
import { openSpringhouse, type SpringhouseOptions } from '../../daemon/compose.ts';
import { readHouse } from '../../daemon/config/read-house.ts';

/** Runs a house with its arguments of `run` until SIGTERM; `differs` is laid over the options of the real one. */
export async function runControl(differs: Partial<SpringhouseOptions>): Promise<void> {
  const { values } = parseArgs({
    options: { house: { type: 'string' }, data: { type: 'string' } },
    allowPositionals: true,
  });
  const read = await readHouse(values.house ?? '');
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join('\n'));
  const house = await openSpringhouse({
    house: read.house,
    folder: dirname(values.house ?? ''),
    dataDir: values.data ?? '',
    pageFolder: 'dashboard/dist',
    release: 'control',
    simulated: false,
    log: (line) => process.stderr.write(`${line}\n`),
    onBug: (error) => {
      throw error;
    },
    ...differs,
  });
  process.stdout.write(`${house.url}/\n`);
  process.once('SIGTERM', () => {
    void house.close().then(() => process.exit(0));
  });
}
