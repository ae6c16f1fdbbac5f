import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { makeBackup } from '../../daemon/backup.ts';
import { openReader } from '../../daemon/reader.ts';
import { restoreBackup } from '../../daemon/restore.ts';
import { openWriter } from '../../daemon/writer.ts';
import type { HouseView } from '../../shared/contract/api.ts';
import { makeTestFolder, openTestHouse, type TestFolder } from './open-test-house.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);
const reading = (index: number) => ({
  probe: 'jar',
  tempC: 4 + (index % 64) / 16,
  flags: 0,
  receivedMs: dawnMs + index * 1_000,
  stamp: { atMs: dawnMs + index * 1_000 },
});

async function kept(dataDir: string): Promise<{ atMs: number; tempC: number }[]> {
  const reader = await openReader({ dataDir });
  const found: { atMs: number; tempC: number }[] = [];
  for await (const slice of reader.rawRange({ probe: 'jar', fromMs: 0, toMs: 4e12 })) {
    found.push(...slice.map(({ atMs, tempC }) => ({ atMs, tempC })));
  }
  await reader.close();
  return found;
}

describe('a backup', () => {
  let folder: TestFolder;
  let other: TestFolder;
  let into: string;

  beforeEach(async () => {
    [folder, other] = await Promise.all([makeTestFolder(), makeTestFolder()]);
    into = await mkdtemp(join(tmpdir(), 'springhouse-backup-'));
  });
  afterEach(async () => {
    await Promise.all([folder.remove(), other.remove(), rm(into, { recursive: true, force: true })]);
  });

  const backup = (files: readonly ('house.db' | 'history.db')[] = ['house.db', 'history.db']) =>
    makeBackup({
      dataDir: folder.dataDir,
      into,
      files,
      release: 'test',
      nowMs: dawnMs,
      onProgress: () => {},
    });
  const restore = (from: string, files: readonly ('house.db' | 'history.db')[] | null = null) =>
    restoreBackup({ from, dataDir: other.dataDir, files, nowMs: dawnMs, onProgress: () => {} });

  it('taken while readings come has every one that was acknowledged before it, and none by half', async () => {
    const writer = await openWriter({ dataDir: folder.dataDir });
    let acknowledged = 0;
    let isWriting = true;
    const writing = (async () => {
      for (let index = 0; isWriting; index += 100) {
        await writer.commitReadings(Array.from({ length: 100 }, (_, more) => reading(index + more)));
        acknowledged = index + 100;
      }
    })();
    while (acknowledged < 2_000) await new Promise((resolve) => setTimeout(resolve, 5));
    const before = acknowledged;
    const made = await backup();
    isWriting = false;
    await writing;
    await writer.close();
    expect(made.note.files.map(({ name }) => name)).toEqual(['house.db', 'history.db']);
    await restore(made.path);
    const found = await kept(other.dataDir);
    expect(found.length).toBeGreaterThanOrEqual(before);
    expect(found.length % 100).toBe(0);
    expect(found).toEqual(
      found.map((_, index) => ({ atMs: dawnMs + index * 1_000, tempC: 4 + (index % 64) / 16 })),
    );
  }, 20_000);

  it('put back is the same house, that goes on; what was there is kept aside', async () => {
    const house = await openTestHouse(folder.dataDir);
    const { id } = house;
    const made = await backup();
    await house.close();
    expect(made.note).toMatchObject({ house: id, recordSeq: 2, release: 'test' });
    await (await openTestHouse(other.dataDir)).close();
    const { aside, files } = await restore(made.path);
    expect([files, (await readdir(aside ?? '')).sort()]).toEqual([
      ['house.db', 'history.db'],
      ['history.db', 'house.db'],
    ]);
    const again = await openTestHouse(other.dataDir);
    expect(again.id).toBe(id);
    await again.close();
  }, 20_000);

  it('is not put back while the house runs, nor where a byte of it has changed, and then changes nothing', async () => {
    const writer = await openWriter({ dataDir: folder.dataDir });
    await writer.commitReadings([reading(0)]);
    const made = await backup();
    await writer.close();
    const running = await openWriter({ dataDir: other.dataDir });
    await running.commitReadings([reading(7)]);
    await expect(restore(made.path)).rejects.toThrow(/^DATA_BUSY: /);
    await running.close();
    const path = join(made.path, 'history.db');
    const bytes = await readFile(path);
    bytes[5_000] = (bytes[5_000] ?? 0) ^ 1;
    await writeFile(path, bytes);
    await expect(restore(made.path)).rejects.toThrow(
      `BACKUP_DAMAGED: history.db in ${made.path} must be as it was made, got other bytes.`,
    );
    expect((await kept(other.dataDir)).map(({ atMs }) => atMs)).toEqual([dawnMs + 7_000]);
    expect((await readdir(other.dataDir)).filter((name) => name.includes('restor'))).toEqual([]);
  }, 20_000);

  it('takes the readings alone where it is asked to, and says what is not there', async () => {
    const writer = await openWriter({ dataDir: folder.dataDir });
    await writer.commitReadings([reading(0)]);
    await writer.close();
    const made = await backup(['history.db']);
    expect((await readdir(made.path)).sort()).toEqual(['backup.json', 'history.db']);
    await rm(join(folder.dataDir, 'history.db'));
    await rm(made.path, { recursive: true });
    expect((await backup()).leftOut).toEqual(['history.db']);
    await expect(
      makeBackup({
        dataDir: into,
        into,
        files: ['house.db'],
        release: 'test',
        nowMs: 1,
        onProgress: () => {},
      }),
    ).rejects.toThrow(/^DATA_MISSING: /);
  });

  it('is refused where the folder is none', async () => {
    await expect(restore(into)).rejects.toThrow(/^BACKUP_DAMAGED: .* with backup\.json in it/);
    await writeFile(join(into, 'backup.json'), '{"v":2}');
    await expect(restore(into)).rejects.toThrow(/^BACKUP_DAMAGED: .* must be what a backup writes/);
  });
});

describe('a house whose history.db is gone', () => {
  let folder: TestFolder;
  beforeEach(async () => {
    folder = await makeTestFolder();
  });
  afterEach(() => folder.remove());

  it('runs, says what it lost, and keeps readings again; its record is whole', async () => {
    const first = await openTestHouse(folder.dataDir);
    const { id } = first;
    await first.close();
    for (const end of ['', '-wal', '-shm'])
      await rm(join(folder.dataDir, `history.db${end}`), { force: true });
    const house = await openTestHouse(folder.dataDir);
    const health = (await (await fetch(`${house.url}/health`)).json()) as { ok: boolean; faults: string[] };
    expect(health.ok).toBe(true);
    expect(health.faults).toEqual([
      expect.stringMatching(/^HISTORY_LOST: history\.db must be beside house\.db, got none/),
    ]);
    const view = (await (await fetch(`${house.url}/api/house`)).json()) as HouseView;
    expect([view.id, view.recordSeq]).toEqual([id, 3]);
    expect((await (await fetch(`${house.url}/api/history/jar`)).json()) as object).toMatchObject({
      buckets: [],
    });
    await house.close();
  }, 20_000);
});
