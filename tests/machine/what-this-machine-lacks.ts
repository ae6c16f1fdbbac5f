import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/** Programs of other people that some tests talk to, and where they stand when not on PATH. */
const programs = {
  mosquitto: ['/usr/sbin/mosquitto'],
  socat: ['/usr/bin/socat'],
  chromium: ['/usr/bin/chromium'],
  openssl: ['/usr/bin/openssl'],
  'systemd-analyze': ['/usr/bin/systemd-analyze'],
  'victoria-metrics': ['/usr/bin/victoria-metrics'],
} as const;

export type Program = keyof typeof programs;

/** Returns the path of a program, or null where this machine lacks it. */
export function pathOf(program: Program): string | null {
  const onPath = (process.env.PATH ?? '').split(delimiter).map((dir) => join(dir, program));
  return [...onPath, ...programs[program]].find((path) => existsSync(path)) ?? null;
}

/** Returns true where a test must be skipped for want of a program; in CI a skip is a failure, so it throws. */
export function lacks(program: Program): boolean {
  if (pathOf(program) !== null) return false;
  if (process.env.CI) throw new Error(`${program} must be installed where CI runs. Run .ci/setup first.`);
  return true;
}

/** Says once, before all tests, which programs are missing and what is skipped for it. */
export function setup(): void {
  for (const program of Object.keys(programs) as Program[]) {
    if (lacks(program)) {
      process.stderr.write(
        `skipping the tests that need ${program}: it is not on this machine (.ci/setup installs it)\n`,
      );
    }
  }
}
