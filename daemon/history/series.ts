/** Series: one quantity of one probe in one unit; today always temperature in degrees Celsius. */
import type { Database } from '../sqlite/database.ts';
import type { Newest } from './newest.ts';

export type Series = {
  /** Returns a probe's series, made within the running transaction where it is new. */
  of(probe: string): number;
  /** Returns a probe's series where it is held in memory, which asks nothing of the file. */
  held(probe: string): number | undefined;
  /** Returns the instant of a series' newest dated reading, epoch ms; -Infinity where it has none. */
  newestMs(series: number): number;
  /** Says that a dated reading was kept; an older one changes nothing. */
  heard(series: number, atMs: number): void;
  /** Returns the probe of a series; throws where there is none, which is a bug. */
  probeOf(series: number): string;
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

/** Opens the series of a history file; ids and newest instants are held in memory, a pair for each probe. */
export function openSeries(database: Database, newest: (series: number) => Newest | undefined): Series {
  const find = findSeries(database);
  const make = database.prepare<{ series: number }>(
    "INSERT INTO series (probe, quantity, unit) VALUES (?, 'temperature', 'Cel') RETURNING series",
  );
  const name = database.prepare<{ probe: string }>('SELECT probe FROM series WHERE series = ?');
  const ids = new Map<string, number>();
  const probes = new Map<number, string>();
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
    const found = newest(series)?.atMs ?? Number.NEGATIVE_INFINITY;
    newestMs.set(series, found);
    return found;
  };
  return {
    of,
    held: (probe) => ids.get(probe),
    newestMs: newestOf,
    heard: (series, atMs) => {
      if (atMs > newestOf(series)) newestMs.set(series, atMs);
    },
    probeOf: (series) => {
      const held = probes.get(series) ?? name.first(series)?.probe;
      if (held === undefined) throw new Error(`series ${series} must have a probe, got none.`);
      probes.set(series, held);
      return held;
    },
    forget: () => {
      ids.clear();
      probes.clear();
      newestMs.clear();
    },
  };
}
