import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { openRecordEvents, type RecordEvents } from '../../../daemon/record/events.ts';
import { type HouseRecord, openRecord } from '../../../daemon/record/record.ts';
import {
  openRecordVerify,
  type VerifyProgress,
  type VerifyReport,
  verifyStart,
} from '../../../daemon/record/verify.ts';
import { type Database, openDatabase } from '../../../daemon/sqlite/database.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';

/** A record on a real file, its write and its read side. */
export type TestRecord = {
  database: Database;
  record: HouseRecord;
  read: RecordEvents;
  verify(): VerifyReport;
};

/** Opens a new record in a folder of its own; it is closed when the running test has finished. */
export function openTestRecord(): TestRecord {
  const path = join(tempFolder(), 'house.db');
  const database = openDatabase({ path, mode: 'write' });
  onTestFinished(database.close);
  const record = openRecord(database);
  const reading = openDatabase({ path, mode: 'read' });
  onTestFinished(reading.close);
  const { verifySlice } = openRecordVerify(reading);
  return { database, record, read: openRecordEvents(reading), verify: () => verifyAll(verifySlice) };
}

function verifyAll(verifySlice: (progress: VerifyProgress) => VerifyProgress): VerifyReport {
  let progress = verifyStart;
  while (!progress.done) progress = verifySlice(progress);
  const { events, lastHash, faults, faultCount } = progress;
  return { events, lastHash, faults, faultCount };
}

/** Makes an event that speaks to nobody, with an id of its own for each `ordinal`. */
export function stepped(ordinal: number): Happening {
  return {
    kind: 'clock-stepped',
    id: `house:clock-stepped:${ordinal}`,
    atMs: 1_780_000_000_000 + ordinal,
    by: { kind: 'daemon', id: 'larkfell' },
    about: {},
    because: [],
    body: { deltaMs: ordinal, known: true },
  };
}

/** Makes an event that speaks to a person. */
export function silent(ordinal: number): Happening {
  return {
    kind: 'probe-silent',
    id: `keep-fridge-7:probe-silent:${ordinal}`,
    atMs: 1_780_000_000_000 + ordinal,
    by: { kind: 'daemon', id: 'larkfell' },
    about: { probe: ['fridge'] },
    because: [{ probe: 'fridge', fromMs: 1_780_000_000_000, toMs: 1_780_000_000_000 + ordinal }],
    body: {
      weight: 'warn',
      watch: null,
      probe: 'fridge',
      lastHeardMs: 1_780_000_000_000,
      lastC: 3.9375,
      usualMs: 10_000,
    },
  };
}
