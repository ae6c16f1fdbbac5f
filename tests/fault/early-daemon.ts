/** The control of the kill proof: a daemon that is wrong in one thing, it acknowledges before the commit. */
import { dirname } from 'node:path';
import { parseArgs } from 'node:util';
import { openSpringhouse } from '../../daemon/compose.ts';
import { readHouse } from '../../daemon/config/read-house.ts';

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
  log: () => {},
  onBug: (error) => {
    throw error;
  },
  // A card that takes its time, as cards do; what is acknowledged and not yet on it is lost.
  writer: { commitDelayMs: 25 },
  sinkOf: (intake) => ({
    tell: intake.tell,
    take: (offer) => {
      intake.take(offer).catch(() => {});
      return Promise.resolve();
    },
  }),
});
process.stdout.write(`${house.url}/\n`);
process.once('SIGTERM', () => {
  void house.close().then(() => process.exit(0));
});
