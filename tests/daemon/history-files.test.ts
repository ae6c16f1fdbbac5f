import { spawn } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { FormReading } from '../../daemon/history/forms/form-reading.ts';
import { openReader } from '../../daemon/reader.ts';
import { openWriter } from '../../daemon/writer.ts';
import { readingFlags } from '../../shared/contract/input.ts';
import { makeTestFolder, type TestFolder } from './open-test-house.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

/** Runs a command as a person would; resolves with its exit code and both outputs. */
function springhouse(...args: string[]): Promise<{ code: number | null; out: string; err: string }> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, ['daemon/main.ts', ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
    let [out, err] = ['', ''];
    child.stdout.on('data', (chunk) => (out += chunk));
    child.stderr.on('data', (chunk) => (err += chunk));
    child.once('close', (code) => resolve({ code, out, err }));
  });
}

async function fill(dataDir: string, readings: readonly FormReading[]): Promise<void> {
  const writer = await openWriter({ dataDir });
  await writer.setMeta('houseId', 'larkfell-7q2m');
  await writer.commitReadings(
    readings.map(({ atMs, ...rest }) => ({ ...rest, receivedMs: atMs, stamp: { atMs } })),
  );
  await writer.close();
}

async function kept(dataDir: string): Promise<FormReading[]> {
  const reader = await openReader({ dataDir });
  const found: FormReading[] = [];
  for (const probe of await reader.probesKept()) {
    for await (const slice of reader.rawRange({ probe, fromMs: 0, toMs: 4e12 })) {
      found.push(...slice.map(({ atMs, tempC, flags }) => ({ probe, atMs, tempC, flags })));
    }
  }
  await reader.close();
  return found;
}

describe('history export and history import', () => {
  let folder: TestFolder;
  let other: TestFolder;
  beforeEach(async () => {
    [folder, other] = await Promise.all([makeTestFolder(), makeTestFolder()]);
  });
  afterEach(async () => {
    await Promise.all([folder.remove(), other.remove()]);
  });

  it('carry every reading to another house once, marked as imported, and change nothing the second time', async () => {
    const [readings = []] = fc.sample(
      fc.uniqueArray(
        fc.record({
          probe: fc.constantFrom('jar', 'larder'),
          atMs: fc.integer({ min: dawnMs, max: dawnMs + 86_400_000 }),
          tempC: fc.integer({ min: -960, max: 1600 }).map((steps) => steps / 16),
          flags: fc.constantFrom(0, readingFlags.simulated),
        }),
        { minLength: 500, maxLength: 500, selector: ({ probe, atMs }) => `${probe}${atMs}` },
      ),
      { numRuns: 1, seed: 7 },
    );
    await fill(folder.dataDir, readings);
    const file = join(folder.dataDir, 'all.csv');
    expect(await springhouse('history', 'export', '--data', folder.dataDir, '--out', file)).toEqual({
      code: 0,
      out: '',
      err: `500 readings exported to ${file}\n`,
    });
    const look = await springhouse('history', 'import', file, '--data', other.dataDir);
    expect([look.code, look.out.split('\n')[0]]).toEqual([0, '500 readings of 2 probes, 0 faults']);
    expect(look.out).toContain('Nothing was written: this was a trial.');
    const write = ['history', 'import', file, '--data', other.dataDir, '--write'];
    expect((await springhouse(...write)).out).toContain('Written: 500 readings. Left out: 0');
    expect((await springhouse(...write)).out).toContain('Written: 0 readings. Left out: 500 that were there');
    const wanted = (await kept(folder.dataDir)).map((each) => ({
      ...each,
      flags: each.flags & ~readingFlags.late,
    }));
    const got = (await kept(other.dataDir)).map((each) => ({
      ...each,
      flags: each.flags & ~readingFlags.late,
    }));
    expect(got).toEqual(wanted.map((each) => ({ ...each, flags: each.flags | readingFlags.imported })));
  }, 20_000);

  it('feed no watch with what came from a file, also where the house opens after it', async () => {
    const file = join(folder.dataDir, 'trace.csv');
    await writeFile(file, 'at,jar\n2026-05-03T05:30:00Z,34\n2026-05-03T05:31:00Z,33\n');
    await fill(folder.dataDir, [{ probe: 'jar', atMs: dawnMs - 1000, tempC: 20, flags: 0 }]);
    await springhouse('history', 'import', file, '--data', folder.dataDir, '--write');
    const writer = await openWriter({ dataDir: folder.dataDir });
    await writer.commitReadings([
      { probe: 'jar', tempC: 5, flags: 0, receivedMs: dawnMs + 9e6, stamp: { atMs: dawnMs + 9e6 } },
    ]);
    const inputs = await writer.inputsAfter(0, 10);
    expect(
      inputs.map((input) => [input.inputSeq, input.kind === 'reading' ? input.reading.tempC : null]),
    ).toEqual([
      [1, 20],
      [4, 5],
    ]);
    expect(await writer.inputsAfter(2, 1)).toMatchObject([{ inputSeq: 4 }]);
    await writer.close();
  });

  it('refuse a file with faults as a whole, each with its line, unless told to go on', async () => {
    const file = join(folder.dataDir, 'odd.csv');
    await writeFile(file, 'at,jar\n2026-05-03T05:30:00Z,34\nyesterday,33\n');
    const write = ['history', 'import', file, '--data', other.dataDir, '--write'];
    const refused = await springhouse(...write);
    expect(refused.code).toBe(1);
    expect(refused.err).toBe(
      `IMPORT_ROW: line 3 of ${file} must hold an instant of the form given, got "yesterday".\nMend the file or the mapping, or give --leave-out-faults to go on without these rows.\n`,
    );
    expect((await springhouse(...write, '--leave-out-faults')).out).toContain('Written: 1 reading.');
  }, 10_000);

  it('write to the output, only the probes and the span asked for', async () => {
    await fill(folder.dataDir, [
      { probe: 'jar', atMs: dawnMs, tempC: 4.5, flags: 0 },
      { probe: 'jar', atMs: dawnMs + 1000, tempC: 4, flags: 0 },
      { probe: 'larder', atMs: dawnMs, tempC: 3, flags: 0 },
    ]);
    const asked = ['history', 'export', '--data', folder.dataDir, '--form', 'lp', '--probe', 'jar'];
    expect(await springhouse(...asked, '--from', '2026-05-03T05:30:01Z')).toEqual({
      code: 0,
      out: 'temperature,house=larkfell-7q2m,probe=jar celsius=4 1777786201000000000\n',
      err: '1 readings exported\n',
    });
    const stranger = await springhouse('history', 'export', '--data', folder.dataDir, '--probe', 'churn');
    expect([stranger.code, stranger.err]).toEqual([
      2,
      'CLI_ARGUMENT: --probe must be a probe that the history holds (jar, larder), got churn. Give one of these.\n',
    ]);
  });

  it('leave no half file and overwrite none', async () => {
    const file = join(folder.dataDir, 'there.csv');
    await writeFile(file, 'mine');
    const { code, err } = await springhouse('history', 'export', '--data', folder.dataDir, '--out', file);
    expect([code, err]).toEqual([
      2,
      `CLI_ARGUMENT: --out must be a file that is not there yet, got ${file}. Give another name.\n`,
    ]);
    expect(await readFile(file, 'utf8')).toBe('mine');
  });
});
