/** All readings that are in no block yet, in memory, as the log has them; held by the writer and by the reader. */
import type { Database } from '../sqlite/database.ts';
import { type FreshLine, type FreshReading, openFreshLine } from './fresh-line.ts';
import { type LoggedReading, unpackCommit } from './log-row.ts';

/** Which readings of a series and era are in blocks; see the schema. */
export type SealedMark = {
  series: number;
  era: number;
  sealedSeq: number;
  batchSeq: number;
  batchTMs: number;
};

export type Fresh = {
  /** How many there are. */
  readonly size: number;
  linesOf(series: number): readonly FreshLine[];
  lines(): Iterable<FreshLine>;
  line(series: number, era: number): FreshLine | undefined;
  markOf(series: number, era: number): SealedMark;
  /** Takes a reading that is about to be logged, or is. */
  add(series: number, era: number, reading: FreshReading): void;
  /** Says that a mark was written: what is in blocks by it is fresh no longer. */
  seal(mark: SealedMark): void;
  /** Takes what was logged and sealed by the other thread since the last time; cheap where nothing was. */
  refresh(): void;
  /** Forgets all and reads it from the file: after a transaction that failed. */
  reload(): void;
};

type LogRow = { firstSeq: number; count: number; readings: Uint8Array };

/** Rows of the log read in one go. */
const rowsPerAsk = 2_000;

/** Opens the fresh readings of a file; they are read at the first `refresh`. */
export function openFresh(database: Database): Fresh {
  const version = database.prepare<{ data_version: number }>('PRAGMA data_version');
  const allMarks = database.prepare<SealedMark>('SELECT * FROM sealed');
  const from = database.prepare<{ value: number }>("SELECT value FROM marks WHERE name = 'freshFromSeq'");
  const rowsAfter = database.prepare<LogRow>(
    `SELECT firstSeq, count, readings FROM log WHERE firstSeq > ? ORDER BY firstSeq LIMIT ${rowsPerAsk}`,
  );
  const bySeries = new Map<number, FreshLine[]>();
  const marks = new Map<string, SealedMark>();
  let size = 0;
  let lastRow = -1;
  let seen: number | null = null;

  const line = (series: number, era: number): FreshLine | undefined =>
    bySeries.get(series)?.find((each) => each.era === era);
  const markOf = (series: number, era: number): SealedMark =>
    marks.get(`${series} ${era}`) ?? { series, era, sealedSeq: 0, batchSeq: 0, batchTMs: 0 };
  const add = (series: number, era: number, reading: FreshReading): void => {
    let lines = bySeries.get(series);
    if (lines === undefined) {
      lines = [];
      bySeries.set(series, lines);
    }
    let into = lines.find((each) => each.era === era);
    if (into === undefined) {
      into = openFreshLine(series, era);
      lines.push(into);
    }
    into.add(reading);
    size += 1;
  };
  const seal = (mark: SealedMark): void => {
    marks.set(`${mark.series} ${mark.era}`, mark);
    const cut = line(mark.series, mark.era);
    if (cut === undefined) return;
    const before = cut.count;
    if (mark.batchSeq <= mark.sealedSeq) cut.dropUpTo(mark.sealedSeq);
    else cut.keep((index) => !isSealed(mark, cut.seqAt(index), cut.tMsAt(index)));
    size -= before - cut.count;
    if (cut.count > 0) return;
    bySeries.set(
      mark.series,
      (bySeries.get(mark.series) ?? []).filter((each) => each !== cut),
    );
  };

  const readMarks = (): void => {
    for (const mark of allMarks.all()) {
      const held = markOf(mark.series, mark.era);
      const same =
        held.sealedSeq === mark.sealedSeq &&
        held.batchSeq === mark.batchSeq &&
        held.batchTMs === mark.batchTMs;
      if (!same) seal(mark);
    }
  };
  const readLog = (): void => {
    for (;;) {
      const rows = rowsAfter.all(lastRow);
      for (const { firstSeq, count, readings } of rows) {
        let seq = firstSeq;
        // Of a damaged row what can be had is taken; a check of the history tells of the rest.
        unpackCommit(readings, count, (reading) => takeUnsealed(reading, seq++));
        lastRow = firstSeq;
      }
      if (rows.length < rowsPerAsk) return;
    }
  };
  const takeUnsealed = (
    { series, era, tMs, tempC, flags, receivedMs }: LoggedReading,
    inputSeq: number,
  ): void => {
    const mark = marks.get(`${series} ${era}`);
    if (mark !== undefined && isSealed(mark, inputSeq, tMs)) return;
    add(series, era, { tMs, tempC, flags, inputSeq, receivedMs });
  };
  const reload = (): void => {
    bySeries.clear();
    marks.clear();
    size = 0;
    lastRow = (from.first()?.value ?? 0) - 1;
    readMarks();
    readLog();
    seen = version.first()?.data_version ?? null;
  };
  return {
    get size() {
      return size;
    },
    linesOf: (series) => bySeries.get(series) ?? [],
    lines: function* () {
      for (const lines of bySeries.values()) yield* lines;
    },
    line,
    markOf,
    add,
    seal,
    refresh: () => {
      if (seen === null) return reload();
      const now = version.first()?.data_version ?? null;
      if (now === seen) return;
      readMarks();
      readLog();
      seen = now;
    },
    reload,
  };
}

function isSealed({ sealedSeq, batchSeq, batchTMs }: SealedMark, inputSeq: number, tMs: number): boolean {
  return inputSeq <= sealedSeq || (inputSeq <= batchSeq && tMs < batchTMs);
}
