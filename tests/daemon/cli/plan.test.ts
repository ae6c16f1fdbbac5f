import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../../..', import.meta.url));
const plan = (...args: string[]) =>
  spawnSync(
    process.execPath,
    ['daemon/main.ts', 'plan', '--house', 'deploy/springhouse.example.yaml', ...args],
    {
      cwd: root,
      encoding: 'utf8',
    },
  );

describe('springhouse plan', () => {
  it('prints a line a place with minutes, spread and whether it would make it', () => {
    const { status, stdout } = plan('--volume', '0.95L', '--material', 'glass');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^0\.95\sL from .+ to 40\.0\s°F, wanted within 60 min:\n {2}/);
    expect(stdout).toContain('Cold water first: warm glass in ice can crack.');
    expect(stdout).toMatch(/near \d+ min \(\d+ to (\d+|never)\) {2,}(would|too slow)/);
  });

  it('gives the same as JSON', () => {
    const { stdout } = plan('--volume', '2L', '--json');
    const { asked, v, ways } = JSON.parse(stdout);
    expect([v, asked.volumeL, asked.spanMin]).toEqual([1, 2, 60]);
    expect(ways.length).toBeGreaterThan(0);
  });

  it('refuses options that it cannot read, all at once', () => {
    const { status, stderr } = plan('--material', 'clay', '--from', 'warm');
    expect(status).toBe(2);
    expect(
      stderr
        .trim()
        .split('\n')
        .map((line) => line.slice(0, 30)),
    ).toEqual([
      'PLAN_OPTION: --volume must be ',
      'PLAN_OPTION: --from must be a ',
      'PLAN_OPTION: --material must b',
    ]);
  });
});
