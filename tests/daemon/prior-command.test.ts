import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openWriter } from '../../daemon/writer.ts';
import type { Happening } from '../../shared/contract/event.ts';
import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const dir = mkdtempSync(join(tmpdir(), 'springhouse-prior-'));
const run = (...args: string[]) =>
  spawnSync(process.execPath, ['daemon/main.ts', ...args], { cwd: root, encoding: 'utf8' });

const lesson = (id: string): Lesson => ({
  id,
  place: 'chest',
  kind: 'freezer',
  material: 'glass',
  volumeL: 0.95,
  aroundC: -18.04,
  aroundSdC: 0.5,
  logPerMin: Math.log(0.04),
  logPerMinSd: 0.05,
  exponentShares: [1, 0, 0, 0],
  missUsual: null,
  missOwn: null,
  endedMs: Date.UTC(2026, 4, 4, 6, 30),
  spanMs: 1_800_000,
  crossed: true,
  taken: id !== 'chill-jar-9/1',
});
const prior: HousePrior = { v: 1, lessons: ['chill-jar-1/1', 'chill-jar-5/1', 'chill-jar-9/1'].map(lesson) };

beforeAll(async () => {
  const writer = await openWriter({ dataDir: dir });
  const body = { watch: 'chill-jar-9', lesson: lesson('chill-jar-9/1'), prior };
  const learned: Happening = {
    kind: 'prior-learned',
    id: 'chill-jar-9/prior-learned/1',
    atMs: 1,
    by: { kind: 'daemon', id: 'watch' },
    about: {},
    because: [],
    body,
  };
  await writer.appendOutcome({ happenings: [learned], snapshots: [] });
  await writer.close();
});
afterAll(() => rmSync(dir, { recursive: true }));

describe('springhouse prior', () => {
  it('shows each lesson, and which of them taught nothing', () => {
    const { status, stdout } = run('prior', '--data', dir);
    expect(status).toBe(0);
    expect(stdout.split('\n').slice(1, 4)).toEqual([
      '2026-05-04 06:30  chest  0.95 L  glass   30   -18.0 ± 0.5  0.0400   to its limit',
      '2026-05-04 06:30  chest  0.95 L  glass   30   -18.0 ± 0.5  0.0400   to its limit',
      '2026-05-04 06:30  chest  0.95 L  glass   30   -18.0 ± 0.5  0.0400   left out: far from anything usual of such a place',
    ]);
  });

  it('exports what replay --prior takes, and replay refuses another file', () => {
    const file = join(dir, 'prior.json');
    expect(run('prior', 'export', '--data', dir, '--out', file).status).toBe(0);
    expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(prior);
    const rows = Array.from({ length: 21 }, (_, min) => `${min * 60_000},${36 - min}`);
    const trace = join(dir, 'trace.csv');
    writeFileSync(trace, `at,jar\n${rows.join('\n')}\n`);
    const asked = [
      'replay',
      trace,
      '--watch',
      'chill:jar=4.44C/60m',
      '--place',
      'jar=freezer',
      '--at',
      '15m',
    ];
    const said = (...more: string[]) => {
      const { stdout } = run(...asked, '--volume', 'jar=0.95L', ...more);
      return JSON.parse(stdout.split('\n').find((line) => line.includes('"asked"')) ?? '{}').crossing.p50;
    };
    // Two lessons change nothing yet but where their forecasts came out: the third was left out.
    expect(said('--prior', file)).toBe(said());
    const missed = prior.lessons.map((one) => ({ ...one, missUsual: 0.5 }));
    writeFileSync(join(dir, 'slow.json'), JSON.stringify({ v: 1, lessons: missed }));
    expect(said('--prior', join(dir, 'slow.json'))).toBeGreaterThan(said());
    const { status, stderr } = run(...asked, '--prior', trace);
    expect([status, stderr.slice(0, 11)]).toEqual([1, 'PRIOR_FILE:']);
  });

  it('goes into the plan of that house, and is forgotten only by a house that runs', () => {
    const { stdout } = run(
      'plan',
      '--house',
      'deploy/springhouse.example.yaml',
      '--data',
      dir,
      '--volume',
      '0.95L',
      '--json',
    );
    const chills = JSON.parse(stdout).ways.map(({ chills }: { chills: number }) => chills);
    expect(chills.every((count: number) => count === 0 || count === 2)).toBe(true);
    const { status, stderr } = run('prior', 'forget', '--data', dir);
    expect([status, stderr.slice(0, 11)]).toEqual([1, 'HOUSE_AWAY:']);
  });
});
