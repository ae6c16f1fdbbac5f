/** Hours and days of a series, counted from the minutes of its blocks in known UTC. */
import type { Database } from '../sqlite/database.ts';
import { type Blocks, isDamage } from './blocks.ts';
import { type MinuteCursor, minuteMs, nextMinute, openMinutes } from './minutes.ts';

/** The lengths of roll-ups above the minute, ms; days are of UTC. */
export const rollupMs = { hour: 3_600_000, day: 86_400_000 } as const;
export type RollupLevel = keyof typeof rollupMs;

/** Least, most and sum, °C as read, of `count` dated readings. */
export type Sums = { minC: number; maxC: number; sumC: number; count: number };

export type Rollups = {
  /** Counts hours and days anew that touch a span, within the running transaction. */
  recount(series: number, span: { fromMs: number; toMs: number }): void;
  /**
   * Returns a question for what one hour or day held, by the instant at which it begins; undefined where it
   * held nothing. Each row is read once.
   */
  ask(series: number, level: RollupLevel): (fromMs: number) => Sums | undefined;
};

/** Hours or days in one row: a week, or 24 weeks. */
export const entriesPerRow = 168;
/** An entry: least, most, sum as little-endian doubles, then the count in four bytes. */
export const entryBytes = 28;
/** What stands in the column `level`. */
export const levelIds: Record<RollupLevel, number> = { hour: 1, day: 2 };

/** Opens the roll-ups of a file. */
export function openRollups(database: Database, blocks: Blocks): Rollups {
  const find = database.prepare<{ entries: Uint8Array }>(
    'SELECT entries FROM rollups WHERE series = ? AND level = ? AND fromMs = ?',
  );
  const put = database.prepare(
    `INSERT INTO rollups (series, level, fromMs, entries) VALUES (?, ?, ?, ?)
     ON CONFLICT (series, level, fromMs) DO UPDATE SET entries = excluded.entries`,
  );
  const ask = (series: number, level: RollupLevel) => {
    const rowMs = rollupMs[level] * entriesPerRow;
    let heldMs = Number.NaN;
    let held: DataView | null = null;
    return (fromMs: number): Sums | undefined => {
      const rowFromMs = Math.floor(fromMs / rowMs) * rowMs;
      if (rowFromMs !== heldMs) {
        heldMs = rowFromMs;
        const entries = find.first(series, levelIds[level], rowFromMs)?.entries;
        held = entries === undefined ? null : viewOf(entries);
      }
      return held === null ? undefined : entryAt(held, (fromMs - rowFromMs) / rollupMs[level]);
    };
  };
  const write = (series: number, level: RollupLevel, found: ReadonlyMap<number, Sums>): void => {
    const rowMs = rollupMs[level] * entriesPerRow;
    const rows = new Map<number, Uint8Array>();
    for (const [fromMs, sums] of found) {
      const rowFromMs = Math.floor(fromMs / rowMs) * rowMs;
      let entries = rows.get(rowFromMs);
      if (entries === undefined) {
        const kept = find.first(series, levelIds[level], rowFromMs)?.entries;
        entries = kept === undefined ? new Uint8Array(entriesPerRow * entryBytes) : Uint8Array.from(kept);
        rows.set(rowFromMs, entries);
      }
      setEntry(viewOf(entries), (fromMs - rowFromMs) / rollupMs[level], sums);
    }
    for (const [rowFromMs, entries] of rows) put.run(series, levelIds[level], rowFromMs, entries);
  };
  return {
    ask,
    recount: (series, { fromMs, toMs }) => {
      const [hourFrom, hourTo] = widened(fromMs, toMs, rollupMs.hour);
      write(series, 'hour', hoursOf(blocks, series, { fromMs: hourFrom, toMs: hourTo }));
      const [dayFrom, dayTo] = widened(fromMs, toMs, rollupMs.day);
      const days = emptied(dayFrom, dayTo, rollupMs.day);
      const hourAt = ask(series, 'hour');
      for (const [dayMs, into] of days) {
        for (let atMs = dayMs; atMs < dayMs + rollupMs.day; atMs += rollupMs.hour) {
          const hour = hourAt(atMs);
          if (hour !== undefined) addSums(into, hour);
        }
      }
      write(series, 'day', days);
    },
  };
}

/** Counts a series' whole hours between two anew from the minutes of its sound blocks; empty ones have a count of 0. */
export function hoursOf(
  blocks: Pick<Blocks, 'within' | 'head'>,
  series: number,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): Map<number, Sums> {
  const hours = emptied(fromMs, toMs, rollupMs.hour);
  for (const { block } of blocks.within(series, 0, { fromMs, toMs })) {
    const head = blocks.head(block);
    if (isDamage(head)) continue;
    const cursor = openMinutes(head.minutes);
    for (nextMinute(cursor); cursor.minute < toMs / minuteMs; nextMinute(cursor)) {
      const into = hours.get(Math.floor((cursor.minute * minuteMs) / rollupMs.hour) * rollupMs.hour);
      if (into !== undefined) addMinute(into, cursor);
    }
  }
  return hours;
}

function widened(fromMs: number, toMs: number, stepMs: number): [number, number] {
  return [Math.floor(fromMs / stepMs) * stepMs, Math.ceil(toMs / stepMs) * stepMs];
}

function emptied(fromMs: number, toMs: number, stepMs: number): Map<number, Sums> {
  const spans = new Map<number, Sums>();
  for (let at = fromMs; at < toMs; at += stepMs) {
    spans.set(at, { minC: Infinity, maxC: -Infinity, sumC: 0, count: 0 });
  }
  return spans;
}

/** Adds the minute that a cursor stands at. */
function addMinute(into: Sums, { least, most, sum, count, scale }: MinuteCursor): void {
  addSums(into, { minC: least / scale, maxC: most / scale, sumC: sum / scale, count });
}

/** Adds sums to others. */
export function addSums(into: Sums, more: Sums): void {
  if (more.minC < into.minC) into.minC = more.minC;
  if (more.maxC > into.maxC) into.maxC = more.maxC;
  into.sumC += more.sumC;
  into.count += more.count;
}

/** Looks at the entries of a row. */
export function viewOf(entries: Uint8Array): DataView {
  return new DataView(entries.buffer, entries.byteOffset, entries.byteLength);
}

/** Returns the entry at a place of a row; undefined where it has no reading. */
export function entryAt(view: DataView, place: number): Sums | undefined {
  const at = place * entryBytes;
  const count = view.getUint32(at + 24, true);
  if (count === 0) return undefined;
  return {
    minC: view.getFloat64(at, true),
    maxC: view.getFloat64(at + 8, true),
    sumC: view.getFloat64(at + 16, true),
    count,
  };
}

function setEntry(view: DataView, place: number, { minC, maxC, sumC, count }: Sums): void {
  const at = place * entryBytes;
  view.setFloat64(at, minC, true);
  view.setFloat64(at + 8, maxC, true);
  view.setFloat64(at + 16, sumC, true);
  view.setUint32(at + 24, count, true);
}
