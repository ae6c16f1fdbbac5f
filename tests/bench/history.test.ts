import { execFile } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openHistoryRange } from '../../daemon/history/range.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';
import { benchProbe, buildHistory } from './history/build.ts';
import { weighHistory } from './history/bytes.ts';
import { timeQuestions } from './history/questions.ts';
import { openSignal } from './history/signals.ts';
import type { WearDay } from './history/wear-day.ts';

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'springhouse-history-test-'));
});
afterAll(() => rm(dir, { recursive: true, force: true }));

describe('the bench of the history', () => {
  it('finds a history of eight days within its aims of bytes, and answers every question in full', () => {
    const readings = 8 * 86_400;
    const signal = openSignal({ seed: 7, stepC: 0.0625, noiseC: 0.035, jitterMs: 0 });
    const built = buildHistory(join(dir, 'days.db'), signal, readings);
    const bytes = weighHistory(built.path, readings);
    expect(bytes.values).toBeGreaterThan(signal.valueEntropy());
    expect(bytes.values).toBeLessThan(signal.valueEntropy() + 0.06);
    expect(bytes.stamps).toBeLessThan(0.01);
    expect(bytes.all).toBeLessThan(bytes.values + bytes.stamps + 0.15);
    const database = openDatabase({ path: built.path, mode: 'read' });
    const range = openHistoryRange(database);
    const span = { probe: benchProbe, fromMs: built.firstMs + 61_007, toMs: built.lastMs - 3_000_011 };
    for (const points of [1, 7, 40, 1_000]) {
      const rolled = range.envelope({ ...span, points });
      const counted = range.envelope({ ...span, points, coarsest: 'reading' });
      expect(rolled.buckets.map(({ minC, maxC, count }) => [minC, maxC, count])).toEqual(
        counted.buckets.map(({ minC, maxC, count }) => [minC, maxC, count]),
      );
    }
    database.close();
    expect(Object.values(timeQuestions(built, { seed: 7, times: 2 })).every((ms) => ms > 0)).toBe(true);
  });

  it('writes few commits of serial probes in a calm quarter of an hour, and one in less than a second of others', async () => {
    const serial = await playWear('serial', 900);
    expect(serial.readings).toBe(7_200);
    expect(serial.commits).toBeLessThan(170);
    const awaited = await playWear('qos1', 900);
    expect(awaited.readings).toBe(7_200);
    expect(awaited.commits).toBeGreaterThan(900);
  });
});

async function playWear(wire: 'serial' | 'qos1', seconds: number): Promise<WearDay> {
  const folder = await mkdtemp(join(dir, 'wear-'));
  const day = fileURLToPath(new URL('./history/wear-day.ts', import.meta.url));
  const { stdout } = await promisify(execFile)(process.execPath, [day, folder, '7', String(seconds), wire]);
  return JSON.parse(stdout) as WearDay;
}
