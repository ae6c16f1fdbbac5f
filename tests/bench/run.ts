/** `npm run bench -- NAME [--full] [--seed N]`: prints one JSON object a figure, then a checksum of the outcome. */
import { parseArgs } from 'node:util';
import type { Bench, Figure } from './figure.ts';
import { forecastBench } from './forecast.bench.ts';
import { historyWearBench } from './history/wear.ts';
import {
  historyBench,
  historyBytesBench,
  historyIngestBench,
  historyPeerBench,
  historyQuestionsBench,
  historySealingBench,
} from './history.bench.ts';
import { historyFilesBench } from './history-files.bench.ts';
import { intakeBench } from './intake.bench.ts';
import { noticeBench } from './notice.bench.ts';

const benches: Record<string, Bench> = {
  forecast: forecastBench,
  intake: intakeBench,
  notice: noticeBench,
  history: historyBench,
  'history-bytes': historyBytesBench,
  'history-questions': historyQuestionsBench,
  'history-sealing': historySealingBench,
  'history-peer': historyPeerBench,
  'history-ingest': historyIngestBench,
  'history-files': historyFilesBench,
  'history-wear': historyWearBench,
};

const { values, positionals } = parseArgs({
  options: {
    full: { type: 'boolean', default: false },
    seed: { type: 'string', default: '1' },
    help: { type: 'boolean', default: false },
  },
  allowPositionals: true,
});
const bench = benches[positionals[0] ?? ''];
if (bench === undefined || values.help) {
  process.stderr.write(
    `npm run bench -- NAME [--full] [--seed N], with NAME one of ${Object.keys(benches).join(', ')}\n`,
  );
  process.exitCode = values.help ? 0 : 2;
} else {
  const tell = (figure: Figure) => process.stdout.write(`${JSON.stringify(figure)}\n`);
  const outcome = await bench(values.full ? 'full' : 'small', tell, Number(values.seed));
  process.stdout.write(`${JSON.stringify({ bench: positionals[0], outcome })}\n`);
}
