/** How long the questions of people take on a long history: each asked of a span that was not asked of before. */
import {
  type HistoryRange,
  openHistoryRange,
  type RangeQuery,
  snaps,
} from '../../../daemon/history/range.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { openRandom } from '../../../probes/simulated/random.ts';
import { type Built, benchProbe } from './build.ts';

const hourMs = 3_600_000;
const dayMs = 24 * hourMs;

/** Medians, ms. */
export type QuestionTimes = {
  yearSnapped: number;
  yearExact: number;
  spanSnapped: number;
  spanExact: number;
  hour: number;
  latest: number;
};

/** Asks each question so many times on a connection of its own, without any cache of results. */
export function timeQuestions(built: Built, { seed, times }: { seed: number; times: number }): QuestionTimes {
  const database = openDatabase({ path: built.path, mode: 'read' });
  try {
    const range = openHistoryRange(database);
    const random = openRandom(seed, 'questions');
    const { firstMs, lastMs } = built;
    const whole = (ms: number) => Math.floor(ms);
    /** Nearly all of it: the edges lie anywhere in its first and last day. */
    const year = () => ({
      fromMs: firstMs + whole(random.uniform() * dayMs),
      toMs: lastMs - whole(random.uniform() * dayMs),
    });
    const spanOf = (spanMs: number) => {
      const fromMs = firstMs + whole(random.uniform() * (lastMs - firstMs - spanMs));
      return { fromMs, toMs: fromMs + spanMs };
    };
    const minutes = ({ fromMs, toMs }: { fromMs: number; toMs: number }) => ({
      fromMs: whole(fromMs / 60_000) * 60_000,
      toMs: whole(toMs / 60_000) * 60_000,
    });
    const ask = (query: () => Omit<RangeQuery, 'probe' | 'points'>) =>
      medianOf(times, () => askEnvelope(range, query()));
    return {
      yearSnapped: ask(() => ({ ...year(), snap: 'hour' })),
      yearExact: ask(() => ({ ...minutes(year()), snap: 'minute' })),
      spanSnapped: ask(() => ({ ...spanOf(3.7 * dayMs), snap: 'minute' })),
      spanExact: ask(() => spanOf(3.7 * dayMs)),
      hour: ask(() => spanOf(hourMs)),
      latest: medianOf(times * 20, () => {
        if (range.newest(benchProbe) === null) throw new Error('the bench must find the newest reading');
      }),
    };
  } finally {
    database.close();
  }
}

/** Asks for a thousand spans; throws where few of them have readings. */
export function askEnvelope(range: HistoryRange, query: Omit<RangeQuery, 'probe' | 'points'>): void {
  const { buckets } = range.envelope({ ...query, probe: benchProbe, points: 1_000 });
  const spans = Math.min(1_000, (query.toMs - query.fromMs) / snaps[query.snap ?? 'none']);
  if (buckets.length < 0.9 * spans) {
    throw new Error(`the bench must be answered in full, got ${buckets.length} of ${spans} spans`);
  }
}

/** The median time of one run, ms, after some that warm up. */
export function medianOf(times: number, run: () => void): number {
  for (let warm = 0; warm < 3; warm++) run();
  const found = Array.from({ length: times }, () => {
    const fromMs = performance.now();
    run();
    return performance.now() - fromMs;
  });
  return found.sort((a, b) => a - b)[found.length >> 1] as number;
}
