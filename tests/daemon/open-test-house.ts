/** A house for tests, opened in this process with real threads, files, HTTP and broker. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openSpringhouse, type Springhouse, type SpringhouseOptions } from '../../daemon/compose.ts';
import type { House } from '../../daemon/config/house-file.ts';
import { parseHouse } from '../../daemon/config/parse-house.ts';

export type TestFolder = { dataDir: string; remove(): Promise<void> };

export async function makeTestFolder(): Promise<TestFolder> {
  const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-house-'));
  return { dataDir, remove: () => rm(dataDir, { recursive: true, force: true }) };
}

/** The house file of these houses; a test may add lines. */
export const testHouseText = `version: 1
house: { name: Larkfell, height: 1420 m, zone: America/Denver, units: F }
places:
  - { id: ice-tub, name: Ice tub, kind: ice-bath }
  - { id: chest-freezer, name: Chest freezer, kind: freezer }
probes:
  - { id: jar, name: Bramble, place: chest-freezer, uncertainty: 0.2 C }
broker: { port: 0 }
http: { port: 0 }
clock: { trust: always }
`;

/** The house that a text describes; throws with every fault where it is none. */
export function houseOf(text: string): House {
  const parsed = parseHouse(text, 'test.yaml');
  if (!parsed.ok) throw new Error(parsed.faults.map(({ message }) => message).join('\n'));
  return parsed.house;
}

/** Opens the house of `testHouseText`, or another; a bug in it ends the test. */
export function openTestHouse(dataDir: string, more: Partial<SpringhouseOptions> = {}): Promise<Springhouse> {
  return openSpringhouse({
    house: houseOf(testHouseText),
    folder: '.',
    dataDir,
    pageFolder: 'dashboard/dist',
    release: 'test',
    simulated: false,
    log: () => {},
    onBug: (error) => {
      throw error;
    },
    ...more,
  });
}

/** Waits until a question is answered as wanted; throws with the last answer after 15 s. */
export async function until<T>(ask: () => Promise<T>, wanted: (answer: T) => boolean): Promise<T> {
  const deadlineMs = performance.now() + 15_000;
  for (;;) {
    const answer = await ask();
    if (wanted(answer)) return answer;
    if (performance.now() > deadlineMs) throw new Error(`never as wanted, last ${JSON.stringify(answer)}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
