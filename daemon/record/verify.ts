/** Checks the record from its first event to its last: numbers, links, hashes, columns, bodies, ids. */
import type { RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import { expectSchema } from '../sqlite/migrate.ts';
import { canonicalJson, faultOf, firstPrev, hashOf, readEvent } from './chain.ts';
import { houseSchema } from './schema.ts';

/**
 * What is wrong at one event. `number`: events are missing before it. `link`: `prev` is not the hash of the
 * event before it. `hash`: its text does not hash to the hash kept with it. `text`: its text is not RFC 8785 JSON.
 * `column`: a column says other than the text. `duplicate`: an earlier event has its id. `body`: it is not of
 * the closed union of kinds. `unreadable`: the file is damaged from there on.
 */
export type ChainFault = {
  recordSeq: number;
  kind: 'number' | 'link' | 'hash' | 'text' | 'column' | 'duplicate' | 'body' | 'unreadable';
  expected: string;
  found: string;
};

/** The outcome of checking; `faults` holds the first `chainFaultsMax`, `faultCount` counts all. */
export type VerifyReport = { events: number; lastHash: string; faults: ChainFault[]; faultCount: number };

/** How far a check has come; plain data, so that it can be carried from slice to slice. */
export type VerifyProgress = VerifyReport & { recordSeq: number; done: boolean };

/** The most faults that a report lists; the others are only counted. */
export const chainFaultsMax = 100;

/** How many events one slice checks; other questions are answered between slices. */
export const verifySliceMax = 500;

export type RecordVerify = {
  /** Checks the next slice; `done` is true after the last. */
  verifySlice(progress: VerifyProgress): VerifyProgress;
};

/** Where a check begins. */
export const verifyStart: VerifyProgress = {
  events: 0,
  lastHash: firstPrev,
  faults: [],
  faultCount: 0,
  recordSeq: 0,
  done: false,
};

type Row = { recordSeq: number; id: string; kind: string; atMs: number; json: string; hash: string };
type Fault = Omit<ChainFault, 'recordSeq'>;

/**
 * Opens the check on a read-only connection; throws where the file is not one of this release. Events cut
 * off the end leave no trace in the file: compare `lastHash` with one noted elsewhere.
 */
export function openRecordVerify(database: Database): RecordVerify {
  expectSchema(database, houseSchema);
  const slice = database.prepare<Row>(
    `SELECT recordSeq, id, kind, atMs, json, hash FROM events WHERE recordSeq > ? ORDER BY recordSeq LIMIT ${verifySliceMax}`,
  );
  // Not by the index on id: it keeps ids apart only while the file is sound.
  const duplicates = database.prepare<{ id: string; first: number; last: number }>(
    `SELECT id, min(recordSeq) AS first, max(recordSeq) AS last FROM events NOT INDEXED
     GROUP BY +id HAVING count(*) > 1 ORDER BY last`,
  );
  return {
    verifySlice: (progress) => {
      try {
        const rows = slice.all(progress.recordSeq);
        const after = rows.reduce(checked, progress);
        if (rows.length === verifySliceMax) return after;
        return { ...duplicates.all().reduce(repeated, after), done: true };
      } catch (error) {
        if (!(error instanceof DiskFault)) throw error;
        const fault: Fault = { kind: 'unreadable', expected: 'a sound file', found: error.message };
        return { ...withFaults(progress, progress.recordSeq + 1, [fault]), done: true };
      }
    },
  };
}

function checked(progress: VerifyProgress, row: Row): VerifyProgress {
  const faults = [...numberFaults(progress, row), ...hashFaults(row), ...textFaults(progress, row)];
  return {
    ...withFaults(progress, row.recordSeq, faults),
    events: progress.events + 1,
    // The hash as it stands here, so that one fault is named once and not at every event after it.
    lastHash: row.hash,
    recordSeq: row.recordSeq,
  };
}

function repeated(
  progress: VerifyProgress,
  { id, first, last }: { id: string; first: number; last: number },
) {
  return withFaults(progress, last, [
    { kind: 'duplicate', expected: `an id of its own`, found: `${id}, the id of event ${first}` },
  ]);
}

function numberFaults({ recordSeq }: VerifyProgress, row: Row): Fault[] {
  if (row.recordSeq === recordSeq + 1) return [];
  return [{ kind: 'number', expected: String(recordSeq + 1), found: String(row.recordSeq) }];
}

function hashFaults({ json, hash }: Row): Fault[] {
  const found = hashOf(json);
  return found === hash ? [] : [{ kind: 'hash', expected: hash, found }];
}

function textFaults({ lastHash }: VerifyProgress, row: Row): Fault[] {
  const event = parsed(row);
  if (event === null) return [{ kind: 'text', expected: 'RFC 8785 JSON', found: row.json }];
  const faults: Fault[] = [];
  if (event.prev !== lastHash) faults.push({ kind: 'link', expected: lastHash, found: String(event.prev) });
  for (const column of ['recordSeq', 'id', 'kind', 'atMs'] as const) {
    if (event[column] === row[column]) continue;
    faults.push({
      kind: 'column',
      expected: `${column} ${event[column]}`,
      found: `${column} ${row[column]}`,
    });
  }
  const fault = faultOf(event);
  if (fault !== null) faults.push({ kind: 'body', expected: 'an event that the record knows', found: fault });
  return faults;
}

/** Returns the event behind a row's text, null where the text is not the canonical one of an object. */
function parsed({ json, hash }: Row): RecordEvent | null {
  try {
    const event = readEvent(json, hash);
    const { hash: _, ...envelope } = event;
    return canonicalJson(envelope) === json ? event : null;
  } catch {
    return null;
  }
}

function withFaults(progress: VerifyProgress, recordSeq: number, faults: Fault[]): VerifyProgress {
  if (faults.length === 0) return progress;
  const room = chainFaultsMax - progress.faults.length;
  const listed = faults.slice(0, room).map((fault) => ({ recordSeq, ...fault }));
  return {
    ...progress,
    faults: [...progress.faults, ...listed],
    faultCount: progress.faultCount + faults.length,
  };
}
