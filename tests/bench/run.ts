/** `npm run bench -- NAME [--full]`: prints one JSON object a figure, then a checksum of the outcome. */
import { parseArgs } from 'node:util';
import type { Bench } from './figure.ts';
import { forecastBench } from './forecast.bench.ts';
import { historyFilesBench } from './history-files.bench.ts';
import { intakeBench } from './intake.bench.ts';
import { noticeBench } from './notice.bench.ts';

const benches: Record<string, Bench> = {
  forecast: forecastBench,
  intake: intakeBench,
  notice: noticeBench,
  'history-files': historyFilesBench,
};

const { values, positionals } = parseArgs({
  options: { full: { type: 'boolean', default: false }, help: { type: 'boolean', default: false } },
  allowPositionals: true,
});
const bench = benches[positionals[0] ?? ''];
if (bench === undefined || values.help) {
  process.stderr.write(
    `npm run bench -- NAME [--full], with NAME one of ${Object.keys(benches).join(', ')}\n`,
  );
  process.exitCode = values.help ? 0 : 2;
} else {
  const outcome = await bench(values.full ? 'full' : 'small', (figure) =>
    process.stdout.write(`${JSON.stringify(figure)}\n`),
  );
  process.stdout.write(`${JSON.stringify({ bench: positionals[0], outcome })}\n`);
}
