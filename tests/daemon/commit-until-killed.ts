/**
 * A program that tests kill: `node commit-until-killed.ts DIR FIRST` commits numbered readings in groups of
 * 20, from FIRST on, and writes the number of the last one on a line when its group was acknowledged.
 */
import { openWriter } from '../../daemon/writer.ts';

const [dataDir = '', first = '0'] = process.argv.slice(2);
const writer = await openWriter({ dataDir });

for (let from = Number(first); ; from += 20) {
  const numbers = Array.from({ length: 20 }, (_, index) => from + index);
  await writer.commitReadings(
    numbers.map((number) => ({
      probe: 'jar',
      tempC: number / 16,
      flags: 0,
      receivedMs: number,
      stamp: { atMs: number },
    })),
  );
  process.stdout.write(`${from + 19}\n`);
}
