/** Questions for a probe's curve, on a read-only connection. */
import type { HistoryBucket } from '../../shared/contract/api.ts';
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import { countEnvelope, type Envelope, type EnvelopeLevel } from './envelope.ts';
import { gapsOf } from './gaps.ts';
import { keptInstantMsMax } from './intake-item.ts';
import { minuteMs } from './minutes.ts';
import { type Newest, openNewest } from './newest.ts';
import { openRaw, type RawQuery, type RawSlice } from './raw.ts';
import { openReadSide } from './read-side.ts';
import { rollupMs } from './rollup-rows.ts';
import { type Spans, spansOf } from './spans.ts';

/** To what the edges of spans may be moved, so that roll-ups answer alone; `none` leaves them where they are. */
export const snaps = { none: 1, minute: minuteMs, hour: rollupMs.hour, day: rollupMs.day } as const;
export type Snap = keyof typeof snaps;

/** A question for `points` equal spans of a probe's curve, epoch ms, `toMs` not included. */
export type RangeQuery = {
  probe: string;
  fromMs: number;
  toMs: number;
  points: number;
  /** `none` unless given. */
  snap?: Snap;
  /** The coarsest roll-up that may answer, for benches; `day` unless given. */
  coarsest?: EnvelopeLevel;
};

/** A stretch of time, `toMs` not included. */
export type Stretch = { fromMs: number; toMs: number };

/** An answer: the edges that were used, the spans that have readings, where there is a gap, where there is damage. */
export type RangeAnswer = Stretch & { buckets: HistoryBucket[]; gaps: Stretch[]; damaged: Stretch[] };

/** The most spans that one question may ask for; more throw `RANGE_RULE`. */
export const pointsMax = 10_000;

export type HistoryRange = {
  /** Returns least, most, mean (°C as read) and count of each span that has a dated reading, in order. */
  range(query: RangeQuery): HistoryBucket[];
  /** The same with the edges used, and what is missing. */
  envelope(query: RangeQuery): RangeAnswer;
  /** Returns the readings from an instant on, about `rawSliceMax` of them, and where the next slice begins. */
  rawSlice(query: RawQuery): RawSlice;
  /** Returns a probe's newest dated reading; null where it has none. */
  newest(probe: string): Newest | null;
};

/** Opens the questions; throws where the file is not one of this release. */
export function openHistoryRange(database: Database): HistoryRange {
  const side = openReadSide(database);
  const raw = openRaw(side);
  const newest = openNewest({ ...side, offsetOf: side.offsetOf });
  const envelope = (query: RangeQuery): RangeAnswer => {
    refuseQuery(query);
    const spans = snapped(query);
    const edges = { fromMs: spans.at(0), toMs: spans.at(spans.count) };
    return side.ask(() => {
      const series = side.seriesOf(query.probe);
      if (series === null) return { ...edges, buckets: [], gaps: [], damaged: [] };
      const { coarsest = 'day' } = query;
      const counted = countEnvelope(side, series, { spans, coarsest });
      const damaged = counted.damaged.map(({ fromMs, toMs }) => ({ fromMs, toMs }));
      return { ...edges, buckets: bucketsOf(spans, counted), gaps: gapsOf(spans, counted.count), damaged };
    });
  };
  return {
    range: (query) => envelope(query).buckets,
    envelope,
    rawSlice: (query) => {
      refuseQuery({ ...query, points: 1 });
      return side.ask(() => {
        const series = side.seriesOf(query.probe);
        return series === null ? { readings: [], nextMs: null } : raw(series, query);
      });
    },
    newest: (probe) =>
      side.ask(() => {
        const series = side.seriesOf(probe);
        return series === null ? null : (newest(series) ?? null);
      }),
  };
}

/** The spans of a question, their edges moved outwards to whole units where it asks for that. */
function snapped({ fromMs, toMs, points, snap = 'none' }: RangeQuery): Spans {
  const unitMs = snaps[snap];
  const units = spansOf({
    fromMs: Math.floor(fromMs / unitMs),
    toMs: Math.ceil(toMs / unitMs),
    points,
  });
  return {
    count: units.count,
    at: (index) => units.at(index) * unitMs,
    indexAt: (atMs) => units.indexAt(Math.floor(atMs / unitMs)),
  };
}

function bucketsOf(spans: Spans, { minC, maxC, sumC, count }: Envelope): HistoryBucket[] {
  const buckets: HistoryBucket[] = [];
  for (let index = 0; index < spans.count; index++) {
    const many = count[index] as number;
    if (many === 0) continue;
    const [least, most] = [minC[index] as number, maxC[index] as number];
    // The rounding of a sum must not carry the mean of equal readings past them.
    const meanC = Math.min(most, Math.max(least, (sumC[index] as number) / many));
    buckets.push({
      fromMs: spans.at(index),
      toMs: spans.at(index + 1),
      minC: least,
      maxC: most,
      meanC,
      count: many,
    });
  }
  return buckets;
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
