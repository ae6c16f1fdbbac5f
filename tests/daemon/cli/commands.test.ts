import { spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { commands } from '../../../daemon/cli/commands.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { openTestHouse } from '../open-test-house.ts';

const main = fileURLToPath(new URL('../../../daemon/main.ts', import.meta.url));

function springhouse(...args: string[]): Promise<{ code: number | null; out: string; err: string }> {
  const child = spawn(process.execPath, [main, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
  let out = '';
  let err = '';
  child.stdout.on('data', (chunk) => {
    out += chunk;
  });
  child.stderr.on('data', (chunk) => {
    err += chunk;
  });
  return new Promise((resolve) => child.once('close', (code) => resolve({ code, out, err })));
}

describe('the command line', () => {
  let dir: string;

  beforeAll(async () => {
    dir = await mkdtemp(join(tmpdir(), 'springhouse-cli-'));
  });

  afterAll(async () => {
    await rm(dir, { recursive: true, force: true });
  });

  it('shows help for all and for each command', async () => {
    const all = await springhouse('--help');
    expect(all.code).toBe(0);
    for (const { name } of commands) expect(all.out).toContain(name);
    const one = await springhouse('replay', '--help');
    expect(one).toMatchObject({ code: 0, err: '' });
    expect(one.out).toContain("--watch 'chill:jar=4.44C/60m'");
  });

  it.each([
    [['sing'], 'CLI_ARGUMENT: no command is named sing. springhouse --help lists them.'],
    [['check'], 'CLI_ARGUMENT: check takes FILE, got nothing. springhouse check --help says more.'],
    [['run', '--loud'], "CLI_ARGUMENT: Unknown option '--loud'. springhouse run --help says more."],
    [['run', '--port', 'x', '--demo'], 'CLI_ARGUMENT: --port must be a whole number from 0 to 65535, got x.'],
  ])('refuses %j with 2', async (args, said) => {
    const { code, err } = await springhouse(...args);
    expect([code, err]).toEqual([2, expect.stringContaining(said)]);
  });

  it('checks a house file', async () => {
    const good = await springhouse('check', 'deploy/springhouse.example.yaml');
    expect(good).toMatchObject({ code: 0, err: '' });
    const file = join(dir, 'bad.yaml');
    await writeFile(file, 'version: 2\nhouse: { name: x }\n');
    const bad = await springhouse('check', file);
    expect(bad.code).toBe(1);
    expect(bad.err).toContain(`HOUSE_VERSION: version must be 1, got 2 (${file}:1:10).`);
    expect(bad.err).toMatch(/\d faults in /);
  });

  it('has no demo where the house file is missing', async () => {
    const { code, err } = await springhouse('run', '--house', join(dir, 'none.yaml'), '--data', dir);
    expect([code, err]).toEqual([1, expect.stringMatching(/^HOUSE_FILE: /)]);
  });

  it('replays a file as JSON lines and tells faults by line', async () => {
    const file = join(dir, 'trace.csv');
    const rows = Array.from(
      { length: 400 },
      (_, index) => `${1_776_494_400_000 + index * 5_000},${36 - index * 0.02}`,
    );
    await writeFile(file, `at,jar\n${rows.join('\n')}\n`);
    const run = await springhouse('replay', file, '--watch', 'chill:jar=4.44C/60m', '--at', '15m', '--json');
    expect([run.code, run.err]).toEqual([0, '']);
    const lines = run.out
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(lines[0]).toEqual({
      type: 'start',
      watch: 'chill-jar-1',
      probe: 'jar',
      at: 1_776_494_400_000,
      since: 1_776_494_400_000,
      marginC: 0,
    });
    expect(lines.filter(({ why }) => why === 'asked')).toHaveLength(1);
    expect(lines.find(({ type }) => type === 'notice')).toMatchObject({
      code: 'chill-will-miss',
      weight: 'warn',
    });
    await writeFile(file, 'at,jar\nlater,1\n');
    const faulty = await springhouse('replay', file);
    expect([faulty.code, faulty.err]).toEqual([1, expect.stringContaining(`TRACE_ROW: line 2 of ${file}`)]);
    const none = await springhouse('replay', file, '--watch', 'hold:pot=63C/15s');
    expect([none.code, none.err]).toEqual([2, expect.stringContaining('REPLAY_OPTION')]);
  });

  it('verifies a record, and names what was changed in it', async () => {
    const dataDir = join(dir, 'data');
    await (await openTestHouse(dataDir)).close();
    expect(await springhouse('record', 'verify', '--data', dataDir)).toMatchObject({
      code: 0,
      out: expect.stringMatching(/^2 events, the chain is whole, last hash [0-9a-f]{64}\n$/),
    });
    const database = openDatabase({ path: join(dataDir, 'house.db'), mode: 'write' });
    database.transaction(() =>
      database
        .prepare("UPDATE events SET json = replace(json, 'Larkfell', 'Larkfall') WHERE recordSeq = 1")
        .run(),
    );
    database.close();
    const { code, err } = await springhouse('record', 'verify', '--data', dataDir);
    expect(code).toBe(1);
    expect(err).toMatch(/^RECORD_BROKEN: the hash of event 1 must be [0-9a-f]{64}, got [0-9a-f]{64}\./);
    expect(await springhouse('record', 'verify', '--data', join(dir, 'nowhere'))).toMatchObject({
      code: 1,
      err: expect.stringMatching(/^DATA_MISSING: /),
    });
  });

  it('shows the probes of a running house, and says where none runs', async () => {
    const house = await openTestHouse(join(dir, 'running'));
    const { code, out } = await springhouse('probes', '--url', house.url);
    expect([code, out]).toEqual([0, 'Larkfell: 1 probe\njar  Bramble, Chest freezer  never heard\n']);
    await house.close();
    const away = await springhouse('probes', '--url', house.url);
    expect([away.code, away.err]).toEqual([1, expect.stringMatching(/^HOUSE_AWAY: /)]);
  });
});
