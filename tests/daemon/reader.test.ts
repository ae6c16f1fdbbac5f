import { closeSync, openSync, statSync, writeSync } from 'node:fs';
import { describe, expect, it, onTestFinished } from 'vitest';
import { dataPaths } from '../../daemon/data-folder.ts';
import { openReader, type Reader } from '../../daemon/reader.ts';
import { openWriter, type Writer } from '../../daemon/writer.ts';
import { at } from './history/open-history.ts';
import { silent, stepped } from './record/open-record.ts';
import { tempFolder } from './sqlite/temp-folder.ts';

async function open(): Promise<{ dataDir: string; writer: Writer; reader: Reader }> {
  const dataDir = tempFolder();
  const writer = await openWriter({ dataDir });
  onTestFinished(() => writer.close());
  const reader = await openReader({ dataDir });
  onTestFinished(() => reader.close());
  return { dataDir, writer, reader };
}

describe('the reader', () => {
  it('sees what is committed as soon as it is acknowledged', async () => {
    const { writer, reader } = await open();
    const query = { probe: 'jar', fromMs: 0, toMs: 1000, points: 1 };
    expect(await reader.range(query)).toEqual([]);
    for (let count = 1; count <= 20; count += 1) {
      await writer.commitReadings([at(count, 20)]);
      expect(await reader.range(query)).toMatchObject([{ count }]);
    }
  });

  it('gives every reading of a range in slices', async () => {
    const { writer, reader } = await open();
    await writer.commitReadings(Array.from({ length: 4500 }, (_, atMs) => at(atMs, atMs / 16)));
    const slices: number[] = [];
    const values: number[] = [];
    for await (const slice of reader.rawRange({ probe: 'jar', fromMs: 100, toMs: 4400 })) {
      slices.push(slice.length);
      values.push(...slice.map(({ tempC }) => tempC));
    }
    expect(slices).toEqual([2000, 2000, 300]);
    expect(values).toEqual(Array.from({ length: 4300 }, (_, index) => (index + 100) / 16));
  });

  it('gives events and notices, and checks the record with progress', async () => {
    const { writer, reader } = await open();
    const happenings = Array.from({ length: 1200 }, (_, each) =>
      each === 700 ? silent(each) : stepped(each),
    );
    const all = await writer.appendOutcome({ happenings, snapshots: [] });
    expect(await reader.eventsAfter(1198, 10)).toEqual(all.slice(1198));
    expect(await reader.noticesLast(5, null)).toEqual([all[700]]);
    const progress: number[] = [];
    expect(await reader.verify((events) => progress.push(events))).toEqual({
      events: 1200,
      lastHash: all.at(-1)?.hash,
      faults: [],
      faultCount: 0,
    });
    expect(progress).toEqual([500, 1000, 1200]);
  });

  it('rejects by code what it is asked wrongly, and goes on', async () => {
    const { reader } = await open();
    const query = { probe: 'jar', fromMs: 5, toMs: 5, points: 1 };
    await expect(reader.range(query)).rejects.toMatchObject({ code: 'RANGE_RULE' });
    await expect(reader.rawRange(query).next()).rejects.toMatchObject({ code: 'RANGE_RULE' });
    expect(await reader.range({ ...query, toMs: 6 })).toEqual([]);
  });

  it('says that a file is missing, and reads it once it is there', async () => {
    const dataDir = tempFolder();
    const reader = await openReader({ dataDir });
    onTestFinished(() => reader.close());
    await expect(reader.eventsAfter(0, 1)).rejects.toMatchObject({ code: 'DATA_MISSING' });
    const writer = await openWriter({ dataDir });
    onTestFinished(() => writer.close());
    expect(await reader.eventsAfter(0, 1)).toEqual([]);
  });

  it('names the event from which on a damaged file cannot be read', async () => {
    const { dataDir, writer, reader } = await open();
    const happenings = Array.from({ length: 600 }, (_, each) => silent(each));
    await writer.appendOutcome({ happenings, snapshots: [] });
    await writer.close();
    const { house } = dataPaths(dataDir);
    // Wipes some pages in the middle of the events.
    const file = openSync(house, 'r+');
    const middle = Math.floor(statSync(house).size / 2 / 4096) * 4096;
    writeSync(file, Buffer.alloc(16 * 4096, 0xff), 0, 16 * 4096, middle);
    closeSync(file);
    const { faults } = await reader.verify();
    expect(faults.at(-1)).toMatchObject({
      kind: 'unreadable',
      expected: 'a sound file',
      found: expect.stringMatching(/^DATA_DAMAGED: /),
    });
  });
});
