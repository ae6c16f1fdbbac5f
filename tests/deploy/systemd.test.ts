import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { parseCommand } from '../../daemon/cli/parse-command.ts';
import { lacks, pathOf } from '../machine/what-this-machine-lacks.ts';

const unit = readFileSync('deploy/systemd/springhouse.service', 'utf8');
const [node = '', option = '', main = '', ...args] = /^ExecStart=(.*)$/m.exec(unit)?.[1]?.split(' ') ?? [];

const folder = mkdtempSync(join(tmpdir(), 'springhouse-unit-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What systemd's own checker says of a unit whose program is one that this machine has. */
function analyze(command: readonly string[], text: string): { status: number | null; said: string } {
  const path = join(folder, 'springhouse.service');
  writeFileSync(path, text.replace(node, process.execPath));
  const run = spawnSync(pathOf('systemd-analyze') ?? '', [...command, path], { encoding: 'utf8' });
  return { status: run.status, said: run.stderr };
}

describe.skipIf(lacks('systemd-analyze'))('the systemd unit', () => {
  it('is in order', () => {
    expect(analyze(['verify', '--man=no'], unit)).toEqual({ status: 0, said: '' });
  });

  it('would not be with a slip of the pen', () => {
    const { said } = analyze(
      ['verify', '--man=no'],
      unit.replace('ProtectSystem=strict', 'ProtectSistem=strict'),
    );
    expect(said).toContain("Unknown key 'ProtectSistem'");
  });

  it('leaves little open by the reckoning of systemd: 2.0 of 10 at most', () => {
    const hardened = ['security', '--offline=true', '--no-pager', '--threshold=20'];
    expect(analyze(hardened, unit).status).toBe(0);
    expect(analyze(hardened, unit.replace(/^(Protect|Restrict|SystemCall)\w+=.*$/gm, '')).status).not.toBe(0);
  });
});

describe('the command of the unit', () => {
  it('is one that the daemon understands, run by the Node that the package brings', () => {
    expect([node, option, main]).toEqual([
      '/opt/springhouse/node_modules/node/bin/node',
      '--max-semi-space-size=4',
      '/opt/springhouse/dist/daemon/main.js',
    ]);
    expect(parseCommand(args)).toMatchObject({
      is: 'command',
      name: 'run',
      values: { house: '/etc/springhouse/springhouse.yaml', data: '/var/lib/springhouse' },
    });
  });

  it('writes to the folder that systemd keeps for it', () => {
    expect(unit).toMatch(/^StateDirectory=springhouse$/m);
  });
});

describe('the udev rules', () => {
  const rules = readFileSync('deploy/udev/70-springhouse.rules', 'utf8');
  const lines = rules.split('\n').filter((line) => line !== '' && !line.startsWith('#'));

  it('are keys with quoted values, and jump only to labels that are there', () => {
    const pair = String.raw`[A-Z]+(\{\w+\})?(==|!=|=|\+=)"[^"]*"`;
    for (const line of lines) expect(line).toMatch(new RegExp(`^${pair}(, ${pair})*$`));
    const named = (key: string) =>
      [...rules.matchAll(new RegExp(`${key}="(\\w+)"`, 'g'))].map(([, name]) => name);
    expect([...new Set(named('GOTO'))]).toEqual(named('LABEL'));
  });

  it('give serial lines to the group that the unit joins', () => {
    const group = /^SupplementaryGroups=(\w+)$/m.exec(unit)?.[1];
    const given = lines
      .filter((line) => line.startsWith('KERNEL=='))
      .map((line) => /GROUP="(\w+)"/.exec(line)?.[1]);
    expect(given).toEqual([group, group]);
  });
});
