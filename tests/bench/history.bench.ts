/** `history` and its parts: how small and fast the history is, each figure beside its aim. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openHistoryRange } from '../../daemon/history/range.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { pathOf } from '../machine/what-this-machine-lacks.ts';
import { type Bench, type BenchSize, type Figure, rounded } from './figure.ts';
import { type Built, buildHistory } from './history/build.ts';
import { type Bytes, weighHistory } from './history/bytes.ts';
import { measureIngest } from './history/ingest.ts';
import { askEnvelope, medianOf, timeQuestions } from './history/questions.ts';
import { measureSealing } from './history/sealing.ts';
import { openSignal, type SignalOptions, stampEntropy } from './history/signals.ts';
import { measureVictoria } from './history/victoria.ts';
import { historyWearBench } from './history/wear.ts';
import { historyFilesBench } from './history-files.bench.ts';

const daySeconds = 86_400;

/** Readings, one a second: for bytes and the peer, for questions, for taking in, for sealing. */
const sizes: Record<BenchSize, { bytes: number; questions: number; ingest: number; sealing: number }> = {
  small: { bytes: 6 * daySeconds, questions: 8 * daySeconds, ingest: 100_000, sealing: 40_000 },
  full: {
    bytes: 60 * daySeconds,
    questions: 365 * daySeconds,
    ingest: 2_000_000,
    sealing: 20 * daySeconds,
  },
};

/** What a figure is held to: at most, or at least, this much. */
type Aim = { most: number } | { least: number };

type Tell = (name: string, value: number, unit: string, rest?: { aim?: Aim; versus?: string }) => void;

/** Tells figures with what they are held to; aims count for the full size alone, and are told with the small one. */
function tellerOf(size: BenchSize, tell: (figure: Figure) => void): Tell {
  return (name, value, unit, { aim, versus } = {}) => {
    const told = [versus, aim === undefined ? undefined : aimWords(aim, value, size)].filter(Boolean);
    const bound = aim === undefined ? null : 'most' in aim ? aim.most : aim.least;
    tell({
      bench: 'history',
      figure: name,
      value: rounded(value),
      unit,
      versus: told.length === 0 ? null : told.join('; '),
      ratio: bound === null ? null : rounded(value / bound),
    });
  };
}

function aimWords(aim: Aim, value: number, size: BenchSize): string {
  const [words, isMet] = 'most' in aim ? ['most', value <= aim.most] : ['least', value >= aim.least];
  const bound = rounded('most' in aim ? aim.most : aim.least);
  return `aim of at ${words} ${bound}: ${isMet ? 'met' : 'missed'}${size === 'full' ? '' : ' in the small size'}`;
}

async function inFolder<T>(work: (dir: string) => Promise<T> | T): Promise<T> {
  const dir = await mkdtemp(join(tmpdir(), 'springhouse-history-'));
  try {
    return await work(dir);
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}

type NamedSignal = { name: string; options: Omit<SignalOptions, 'seed'> };

const usual: NamedSignal = { name: 'noise 0.035', options: { stepC: 0.0625, noiseC: 0.035, jitterMs: 0 } };
const fine: NamedSignal = { name: 'steps of 0.01', options: { stepC: 0.01, noiseC: 0.035, jitterMs: 0 } };
const jittered: NamedSignal = {
  name: 'noise 0.035, stamps off by 3 ms',
  options: { stepC: 0.0625, noiseC: 0.035, jitterMs: 3 },
};
const signals: readonly NamedSignal[] = [
  { name: 'noise 0.02', options: { stepC: 0.0625, noiseC: 0.02, jitterMs: 0 } },
  usual,
  { name: 'noise 0.05', options: { stepC: 0.0625, noiseC: 0.05, jitterMs: 0 } },
  fine,
  jittered,
];

/**
 * `bytes-*`: the file after its checkpoint, bytes a reading. Entropies are those of the noise around a level that is
 * known, rounded to the probe's steps (Shannon 1948): no coder can be below them, and none knows the level.
 */
export const historyBytesBench: Bench = (size, tell, seed) =>
  inFolder((dir) => {
    const figure = tellerOf(size, tell);
    const readings = sizes[size].bytes;
    for (const { name, options } of signals) {
      const signal = openSignal({ seed, ...options });
      const bytes = weigh(dir, { ...options, seed }, { readings, signal });
      const entropy = { values: signal.valueEntropy(), stamps: stampEntropy(options.jitterMs) };
      const per = `bytes a reading, ${name}`;
      figure(`bytes-values, ${name}`, bytes.values, per, {
        aim: { most: entropy.values + 0.06 },
        versus: `entropy ${rounded(entropy.values)}, ${rounded(bytes.values - entropy.values)} over it`,
      });
      figure(`bytes-stamps, ${name}`, bytes.stamps, per, {
        aim: { most: entropy.stamps + 0.01 },
        versus: `entropy ${rounded(entropy.stamps)}`,
      });
      figure(`bytes-all, ${name}`, bytes.all, per, { aim: { most: bytes.values + bytes.stamps + 0.15 } });
    }
    return `${signals.length} files of ${readings} readings`;
  });

function weigh(
  dir: string,
  options: SignalOptions,
  { readings, signal }: { readings: number; signal: ReturnType<typeof openSignal> },
): Bytes {
  const built = buildHistory(join(dir, `bytes-${Object.values(options).join('-')}.db`), signal, readings);
  return weighHistory(built.path, readings);
}

/** `year-envelope` and the like: medians of questions, each over a span of its own. */
export const historyQuestionsBench: Bench = (size, tell, seed) =>
  inFolder((dir) => {
    const figure = tellerOf(size, tell);
    const readings = sizes[size].questions;
    const built = buildHistory(join(dir, 'year.db'), openSignal({ seed, ...usual.options }), readings);
    const times = timeQuestions(built, { seed, times: size === 'full' ? 101 : 15 });
    figure('year-envelope, snapped to hours', times.yearSnapped, 'ms', { aim: { most: 10 } });
    figure('year-envelope, exact to minutes', times.yearExact, 'ms', { aim: { most: 25 } });
    figure('span-envelope, 3.7 days snapped to minutes', times.spanSnapped, 'ms', { aim: { most: 3 } });
    figure('span-envelope, 3.7 days exact', times.spanExact, 'ms', { aim: { most: 80 } });
    figure('hour-envelope', times.hour, 'ms', { aim: { most: 2 } });
    figure('latest, from the file', times.latest, 'ms', { aim: { most: 0.02 } });
    return `${readings} readings asked for`;
  });

/** `seal-delay`, and `latest` just after a seal. */
export const historySealingBench: Bench = (size, tell, seed) =>
  inFolder((dir) => {
    const figure = tellerOf(size, tell);
    const options = { seed, ...jittered.options };
    const sealed = measureSealing(dir, options, sizes[size].sealing);
    figure('seal-delay', sealed.longestMs, `ms, the longest of ${sealed.pieces} pieces`, {
      aim: { most: 20 },
    });
    figure('seal-delay, median', sealed.medianMs, 'ms');
    figure('latest, just after a seal', sealed.latestMs, 'ms', { aim: { most: 0.02 } });
    figure('latest from the file, first question after a seal', sealed.latestFromFileMs, 'ms');
    return `${sealed.pieces} pieces of sealing`;
  });

/** `versus-victoria-metrics`: the same readings in both, the same question of both. */
export const historyPeerBench: Bench = async (size, tell, seed) => {
  if (pathOf('victoria-metrics') === null) {
    process.stderr.write('leaving out versus-victoria-metrics: it is not on this machine\n');
    return 'no peer';
  }
  const readings = sizes[size].bytes;
  for (const named of [usual, jittered, fine]) {
    await inFolder((dir) => comparePeer(tellerOf(size, tell), { dir, named, seed, readings }));
  }
  return `3 times ${readings} readings in both`;
};

async function comparePeer(
  figure: Tell,
  { dir, named, seed, readings }: { dir: string; named: NamedSignal; seed: number; readings: number },
): Promise<void> {
  const { name, options } = named;
  const built = buildHistory(join(dir, 'ours.db'), openSignal({ seed, ...options }), readings);
  const bytes = weighHistory(built.path, readings);
  const peer = await measureVictoria(openSignal({ seed, ...options }), { readings, seed, times: 9 });
  const isAimed = named !== fine;
  const isExact = options.jitterMs === 0;
  const smaller = peer.bytes / (bytes.values + bytes.stamps);
  figure(`versus-victoria-metrics, smaller, ${name}`, smaller, 'times', {
    ...(isAimed ? { aim: { least: 1.5 } } : {}),
    versus: `victoria-metrics, merged: ${rounded(peer.bytes)} bytes a reading, ours ${rounded(bytes.values + bytes.stamps)}`,
  });
  for (const [from, coarsest, least] of [
    ['roll-ups', 'day', 50],
    ['raw blocks', 'reading', 1],
  ] as const) {
    const oursMs = askWhole(built, { seed, coarsest });
    figure(`versus-victoria-metrics, faster from ${from}, ${name}`, peer.questionMs / oursMs, 'times', {
      ...(isAimed && isExact ? { aim: { least } } : {}),
      versus: `victoria-metrics ${rounded(peer.questionMs)} ms, ours ${rounded(oursMs)} ms, 1,000 spans of all`,
    });
  }
}

/** The median time of least, most and mean of a thousand spans over nearly all of it, ms. */
function askWhole(built: Built, { seed, coarsest }: { seed: number; coarsest: 'day' | 'reading' }): number {
  const database = openDatabase({ path: built.path, mode: 'read' });
  try {
    const range = openHistoryRange(database);
    const random = openRandom(seed, 'whole');
    const off = () => Math.floor(random.uniform() * 3_600_000);
    // From roll-ups as they are asked for by people: to the minute.
    const snap = coarsest === 'day' ? 'minute' : 'none';
    return medianOf(9, () =>
      askEnvelope(range, { fromMs: built.firstMs + off(), toMs: built.lastMs - off(), snap, coarsest }),
    );
  } finally {
    database.close();
  }
}

/**
 * `ingest-versus-rows`: group commits with their sealing, beside rows by probe and instant alone, and beside rows that
 * can be followed by their numbers, too.
 */
export const historyIngestBench: Bench = async (size, tell, seed) => {
  const figure = tellerOf(size, tell);
  const readings = sizes[size].ingest;
  for (const { probes, each, isNumbered } of [
    { probes: 1, each: 10_000, isNumbered: false },
    { probes: 8, each: 10_000, isNumbered: false },
    { probes: 8, each: 400, isNumbered: false },
    { probes: 8, each: 10_000, isNumbered: true },
  ]) {
    await inFolder((dir) => {
      const signal = openSignal({ seed, ...usual.options });
      const { ours, rows } = measureIngest(dir, signal, { readings, each, probes, isNumbered });
      figure(
        `ingest-versus-rows, ${probes} ${probes === 1 ? 'probe' : 'probes'}, ${each} a commit${isNumbered ? ', rows by number, too' : ''}`,
        ours / rows,
        'times',
        {
          aim: { least: 1.5 },
          versus: `bare rows ${Math.round(rows)}/s, ours ${Math.round(ours)}/s`,
        },
      );
    });
  }
  return `4 times ${readings} readings`;
};

/** Every figure of the history, part by part. */
export const historyBench: Bench = async (size, tell, seed) => {
  const outcomes: string[] = [];
  for (const part of [
    historyBytesBench,
    historyQuestionsBench,
    historySealingBench,
    historyPeerBench,
    historyIngestBench,
    historyFilesBench,
    historyWearBench,
  ]) {
    outcomes.push(await part(size, tell, seed));
  }
  return outcomes.join('; ');
};
