/** Questions for a probe's curve, on a read-only connection. */
import type { HistoryBucket } from '../../shared/contract/api.ts';
import { readingFlags } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import { expectSchema } from '../sqlite/migrate.ts';
import { keptInstantMsMax } from './intake-item.ts';
import { openParts } from './parts.ts';
import { openRaw, type RawCursor, type RawQuery, type RawReading } from './raw.ts';
import { historySchema } from './schema.ts';
import { findSeries } from './series.ts';
import { type Spans, spansOf } from './spans.ts';

/** A question for `points` equal spans of a probe's curve, epoch ms, `toMs` not included. */
export type RangeQuery = { probe: string; fromMs: number; toMs: number; points: number };

/** The most spans that one question may ask for; more throw `RANGE_RULE`. */
export const pointsMax = 10_000;

export type HistoryRange = {
  /** Returns least, most, mean (°C as read) and count of each span that has a dated reading, in order. */
  range(query: RangeQuery): HistoryBucket[];
  /** Returns the next readings after a cursor, null for the first; fewer than `rawSliceMax` are the last. */
  rawSlice(query: RawQuery, after: RawCursor | null): RawReading[];
};

type Sums = { minC: number; maxC: number; sumC: number; count: number };
type FoundSums = Sums | { minC: null; maxC: null; sumC: null; count: 0 };

/** Opens the questions; throws where the file is not one of this release. */
export function openHistoryRange(database: Database): HistoryRange {
  expectSchema(database, historySchema);
  const seriesOf = findSeries(database);
  const partsOf = openParts(database);
  const raw = openRaw(database);
  const sumsOf = database.prepare<FoundSums>(
    `SELECT min(tempC) AS minC, max(tempC) AS maxC, sum(tempC) AS sumC, count(*) AS count FROM readings
     WHERE series = ? AND era = ? AND tMs >= ? AND tMs < ? AND flags & ${readingFlags.undated} = 0`,
  );
  const sumsBySpan = (series: number, query: RangeQuery, spans: Spans): Map<number, Sums> => {
    const bySpan = new Map<number, Sums>();
    for (const { era, offsetMs, firstMs, lastMs } of partsOf(series, query)) {
      const lastSpan = spans.indexAt(lastMs);
      // One seek a span, where grouping in SQL would sort all readings: of 1,000 spans a day of 1 s readings
      // took 9 ms against 15, an hour of them 3 ms against 1. The long question is the one that costs.
      for (let index = spans.indexAt(firstMs); index <= lastSpan; index += 1) {
        const found = sumsOf.first(series, era, spans.at(index) - offsetMs, spans.at(index + 1) - offsetMs);
        if (found !== undefined && found.count > 0)
          bySpan.set(index, added(bySpan.get(index), found as Sums));
      }
    }
    return bySpan;
  };
  return {
    range: (query) => {
      refuseQuery(query);
      const series = seriesOf(query.probe);
      if (series === null) return [];
      const spans = spansOf(query);
      return [...sumsBySpan(series, query, spans)]
        .sort(([a], [b]) => a - b)
        .map(([index, sums]) => bucketOf(spans, index, sums));
    },
    rawSlice: (query, after) => {
      refuseQuery({ ...query, points: 1 });
      const series = seriesOf(query.probe);
      return series === null ? [] : raw(series, query, after);
    },
  };
}

function added(sums: Sums | undefined, more: Sums): Sums {
  if (sums === undefined) return more;
  return {
    minC: Math.min(sums.minC, more.minC),
    maxC: Math.max(sums.maxC, more.maxC),
    sumC: sums.sumC + more.sumC,
    count: sums.count + more.count,
  };
}

function bucketOf(spans: Spans, index: number, { minC, maxC, sumC, count }: Sums): HistoryBucket {
  // The rounding of a sum must not carry the mean of equal readings past them.
  const meanC = Math.min(maxC, Math.max(minC, sumC / count));
  return { fromMs: spans.at(index), toMs: spans.at(index + 1), minC, maxC, meanC, count };
}

function refuseQuery({ probe, fromMs, toMs, points }: RangeQuery): void {
  const refuse = (field: string, rule: string, found: number) => {
    throw new DiskFault(
      'RANGE_RULE',
      `${field} of the range of ${probe} must be ${rule}, got ${found}. Ask again.`,
    );
  };
  const isInstant = (value: number) => Number.isInteger(value) && value >= 0 && value <= keptInstantMsMax + 1;
  if (!isInstant(fromMs)) refuse('fromMs', `whole milliseconds from 0 to ${keptInstantMsMax}`, fromMs);
  if (!isInstant(toMs) || toMs <= fromMs) refuse('toMs', `whole milliseconds after fromMs (${fromMs})`, toMs);
  if (!Number.isInteger(points) || points < 1 || points > pointsMax) {
    refuse('points', `a whole number from 1 to ${pointsMax}`, points);
  }
}
