import { readdirSync } from 'node:fs';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { historySchema } from '../../../daemon/history/schema.ts';
import { openReader } from '../../../daemon/reader.ts';
import { houseSchema } from '../../../daemon/record/schema.ts';
import { openWriter } from '../../../daemon/writer.ts';
import { makeTestFolder, openTestHouse, type TestFolder } from '../open-test-house.ts';

type Expected = { events: number; lastHash: string; readings: [string, number, number, number][] };

/** Files that earlier releases wrote, by the versions of their two tables. */
const fixtures = readdirSync(import.meta.dirname, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map(({ name }) => name)
  .sort();

const versionsOf = (file: 'history' | 'house') =>
  new Set(fixtures.map((name) => Number(new RegExp(`${file}-(\\d+)`).exec(name)?.[1])));

describe('files of earlier releases', () => {
  let folder: TestFolder;
  beforeEach(async () => {
    folder = await makeTestFolder();
  });
  afterEach(() => folder.remove());

  async function unpacked(fixture: string): Promise<Expected> {
    const read = async (name: string) =>
      gunzipSync(await readFile(join(import.meta.dirname, fixture, `${name}.gz`)));
    for (const name of ['house.db', 'history.db'])
      await writeFile(join(folder.dataDir, name), await read(name));
    return JSON.parse((await read('expected.json')).toString()) as Expected;
  }

  it('are here of every version before this one: make-fixture.ts makes those of this release', () => {
    const earlier = (count: number) => Array.from({ length: count - 1 }, (_, index) => index + 1);
    expect([...versionsOf('history')]).toEqual(expect.arrayContaining(earlier(historySchema.steps.length)));
    expect([...versionsOf('house')]).toEqual(expect.arrayContaining(earlier(houseSchema.steps.length)));
  });

  it.each(fixtures)('are brought up with every reading, event and input in them: %s', async (fixture) => {
    const expected = await unpacked(fixture);
    const writer = await openWriter({ dataDir: folder.dataDir });
    expect(writer.opened).toMatchObject({ historyLost: false, houseLost: false });
    const inputs = await writer.inputsAfter(0, 10_000);
    const [more] = await writer.commitReadings([
      { probe: 'jar', tempC: 4, flags: 0, receivedMs: 1e12, stamp: { atMs: 1e12 } },
    ]);
    await writer.close();
    expect(inputs.map(({ inputSeq }) => inputSeq)).toEqual(inputs.map((_, index) => index + 1));
    expect(inputs.filter(({ kind }) => kind === 'reading')).toHaveLength(expected.readings.length);
    expect(inputs.filter(({ kind }) => kind !== 'reading').map(({ kind }) => kind)).toEqual([
      'start',
      'word',
    ]);
    expect(more).toMatchObject({ is: 'stored', inputSeq: inputs.length + 1 });
    const reader = await openReader({ dataDir: folder.dataDir });
    const readings: Expected['readings'] = [];
    for (const probe of ['jar', 'larder', 'pot']) {
      for await (const slice of reader.rawRange({ probe, fromMs: 1.1e12, toMs: 4e12 })) {
        for (const { atMs, tempC, flags } of slice) readings.push([probe, atMs, tempC, flags]);
      }
    }
    const { events, lastHash, faults } = await reader.verify();
    await reader.close();
    expect({ events, lastHash, readings, faults }).toEqual({ ...expected, faults: [] });
  });

  it.each(fixtures)('make a house that runs: %s', async (fixture) => {
    await unpacked(fixture);
    const house = await openTestHouse(folder.dataDir);
    expect(house.id).toBe('larkfell-7q2m');
    const { buckets } = (await (
      await fetch(`${house.url}/api/history/jar?from=2026-05-03T05:30:00Z&to=2026-05-03T08:00:00Z&points=3`)
    ).json()) as { buckets: { count: number }[] };
    expect(buckets.reduce((sum, { count }) => sum + count, 0)).toBe(402);
    await house.close();
  });
});
