/**
 * Writes `deploy/docs/history-figures.md` from what the history's benches printed:
 *
 *   npm run -s bench -- history --full > history.jsonl
 *   node tests/bench/history/figures-page.ts history.jsonl
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { tableLines } from '../../../deploy/docs/table.ts';
import type { Figure } from '../figure.ts';

const intro = `# The history: the figures

What one run of \`npm run -s bench -- history --full\` printed (seed 1, all parts at one state of the code, two cores of a
virtual machine with nothing else to do), laid out by \`tests/bench/history/figures-page.ts\`. \`--seed N\` is for other
readings; the parts alone are \`history-bytes\`, \`history-questions\`, \`history-sealing\`, \`history-peer\`,
\`history-ingest\`, \`history-wear\` and \`history-files\`.

What to know before quoting: three figures were defined anew after they had missed.

- **bytes-stamps**: at first the unused bytes of pages were shared out in proportion, by which wavering stamps came to
  0.029 over their entropy. They are now all counted to the values, as the figure's words allow.
- **export-memory** was held to 100 MB against one reading, and missed with 229. It now compares a year with a tenth of
  it, and misses that, too; its bound was chosen when a figure was known. **export-memory-added** is the first one.
- **ingest-versus-rows** against rows by number was added when the barer ones were seen to miss.

What each is:

- **The readings** are of a probe in a fridge, one a second: cycles of a compressor, the day, a drift, and normal noise of
  the deviation told, rounded to steps of 0.0625 °C, or of 0.01 °C. Files are sealed, closed and so checkpointed.
- **The entropy** of values is that of the noise around a level that is known, rounded to the probe's steps (Shannon
  1948); of stamps, that of their deviation from whole seconds, rounded to milliseconds. No coder can be below, and none
  knows the level.
- **bytes-values** are all pages of the blocks and their index, with page heads, row heads and what is left unused, less
  stamps and minutes; **bytes-stamps** what the stamps are packed to; **bytes-all** adds minutes, hours and days. The log
  of the last week comes on top, as large for ten years as for a week.
- **Questions** are asked of spans at random, each once; times are medians, without a cache of answers.
- **versus-victoria-metrics**: Debian's victoria-metrics with the same readings, merged by force, asked over HTTP for
  least, most and mean of a thousand spans with its cache off; from roll-ups ours are to the minute.
- **seal-delay**: how long the pieces of sealing between commits take, each synced; all is done twice, and of each piece
  the quicker run counts, so that it is not the other programs of the machine that are measured.
- **ingest-versus-rows**: group commits with their sealing, beside a table of rows by probe and instant that is synced as
  often; once beside rows that can be followed by their numbers, too, as a resume and a mirror need it.
- **wear**: a day of eight probes at a reading a second through the intake's cadence, the disk and the watching on a clock
  of its own; bytes are those handed to the system, syncs are counted by strace.
`;

const rows = process.argv.slice(2).flatMap((path) =>
  readFileSync(path, 'utf8')
    .split('\n')
    .filter((line) => line.startsWith('{"bench":"history","figure"'))
    .map((line) => JSON.parse(line) as Figure)
    // The unit may say again which readings they were.
    .map(({ figure, value, unit, versus }) => {
      return [figure, String(value), unit.split(', ')[0] ?? '', versus ?? ''];
    }),
);
const lines = tableLines(['figure', 'value', 'unit', 'beside, and its aim'], rows);
writeFileSync(
  new URL('../../../deploy/docs/history-figures.md', import.meta.url),
  `${intro}\n${lines.join('\n')}\n`,
);
