/** Series: one quantity of one probe in one unit; today always temperature in degrees Celsius. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';

export type Series = {
  /** Returns a probe's series, made within the running transaction where it is new. */
  of(probe: string): number;
  /** Returns the instant of a series' newest dated reading, epoch ms; -Infinity where it has none. */
  newestMs(series: number): number;
  /** Says that a dated reading was kept; an older one changes nothing. */
  heard(series: number, atMs: number): void;
  /** Drops what is held in memory: after a failed transaction, or when an era's offset has changed. */
  forget(): void;
};

/** Returns the question for a probe's series, null where it has none. */
export function findSeries(database: Database): (probe: string) => number | null {
  const find = database.prepare<{ series: number }>(
    "SELECT series FROM series WHERE probe = ? AND quantity = 'temperature' AND unit = 'Cel'",
  );
  return (probe) => find.first(probe)?.series ?? null;
}

/** A series' newest dated reading of each era that it has; undated ones have no instant to be newest by. */
export const newestOfEach = `
  SELECT r.tMs + e.offsetMs AS atMs, r.tempC, r.flags
  FROM eras e CROSS JOIN readings r
  WHERE r.series = ?1 AND r.era = e.era AND r.tMs = (
    SELECT max(tMs) FROM readings
    WHERE series = ?1 AND era = e.era AND flags & ${readingFlags.undated} = 0
  ) AND r.flags & ${readingFlags.undated} = 0
  ORDER BY atMs DESC, r.ord DESC LIMIT 1`;

/** Opens the series of a history file; ids and newest instants are held in memory, a pair for each probe. */
export function openSeries(database: Database): Series {
  const find = findSeries(database);
  const make = database.prepare<{ series: number }>(
    "INSERT INTO series (probe, quantity, unit) VALUES (?, 'temperature', 'Cel') RETURNING series",
  );
  const newest = database.prepare<{ atMs: number }>(newestOfEach);
  const ids = new Map<string, number>();
  const newestMs = new Map<number, number>();

  const of = (probe: string): number => {
    const held = ids.get(probe);
    if (held !== undefined) return held;
    const series = find(probe) ?? make.first(probe)?.series;
    if (series === undefined) throw new Error('INSERT RETURNING must give a row, got none.');
    ids.set(probe, series);
    return series;
  };
  const newestOf = (series: number): number => {
    const held = newestMs.get(series);
    if (held !== undefined) return held;
    const found = newest.first(series)?.atMs ?? Number.NEGATIVE_INFINITY;
    newestMs.set(series, found);
    return found;
  };
  return {
    of,
    newestMs: newestOf,
    heard: (series, atMs) => {
      if (atMs > newestOf(series)) newestMs.set(series, atMs);
    },
    forget: () => {
      ids.clear();
      newestMs.clear();
    },
  };
}
