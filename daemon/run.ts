/** `springhouse run`: a house until a signal ends it. Wiring. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { makeDemoHouse } from '../probes/simulated/demo-house.ts';
import { openDemoPublisher } from '../probes/simulated/demo-publisher.ts';
import type { Values } from './cli/parse-command.ts';
import { faults, text } from './commands.ts';
import { openSpringhouse, type Springhouse, type SpringhouseOptions } from './compose.ts';
import { demoHouse } from './config/demo-house.ts';
import { readEnvironment } from './config/environment.ts';
import type { House } from './config/house-file.ts';
import { readHouse } from './config/read-house.ts';
import { offerDoors } from './offer-doors.ts';
import { release } from './release.ts';
import { openSupervisor } from './service/supervisor.ts';

type Place = {
  house: House;
  folder: string;
  dataDir: string;
  simulated: boolean;
  leave: () => Promise<void>;
};

/** Runs until SIGTERM or SIGINT and returns the exit code; a bug ends it at once, for the supervisor to restart. */
export async function runHouse(values: Values): Promise<number> {
  const found = values.demo === true ? await demoPlace(values) : await realPlace(values);
  if ('faults' in found) return faults(found.faults, 1);
  const { place } = found;
  const environment = readEnvironment();
  const port = text(values.port);
  if (port !== null) {
    if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535) {
      return faults(
        [`CLI_ARGUMENT: --port must be a whole number from 0 to 65535, got ${port}. Choose a free one.`],
        2,
      );
    }
    place.house = { ...place.house, http: { ...place.house.http, port: Number(port) } };
  }
  let running: Springhouse;
  try {
    running = await openSpringhouse(optionsOf(place));
  } catch (error) {
    await place.leave();
    return faults([(error as Error).message], 1);
  }
  const demo = place.simulated ? await openDemo(running) : null;
  say(`${place.house.house.name} is watched. The page: ${running.url}/`);
  if (running.brokerUrl !== null) {
    say(`Probes that speak MQTT: ${running.brokerUrl}, topic springhouse/${running.id}/reading/<probe>`);
  }
  if (running.doors !== null) await offerDoors(running.doors, running.isNew);
  if (place.simulated) say('This house is invented and all its readings are simulated. Ctrl-C ends it.');
  const supervisor = openSupervisor({
    socket: environment.notifySocket,
    watchdogMs: environment.watchdogMs,
    pulse: running.pulse,
    onTrouble: (error) => process.stderr.write(`systemd: ${error.message}\n`),
  });
  await supervisor.ready();
  await ended();
  await supervisor.stopping();
  await demo?.close();
  await running.close();
  await place.leave();
  return 0;
}

function optionsOf(place: Place): SpringhouseOptions {
  return {
    house: place.house,
    folder: place.folder,
    dataDir: place.dataDir,
    pageFolder: fileURLToPath(new URL(pageFolder(), import.meta.url)),
    release,
    simulated: place.simulated,
    log: (line) => process.stderr.write(`${line}\n`),
    onBug: (error) => {
      process.stderr.write(`a bug ends the daemon: ${(error as Error)?.stack ?? String(error)}\n`);
      process.exit(70);
    },
  };
}

/** The built page stands beside the sources, and beside the folder of the built daemon. */
function pageFolder(): string {
  return import.meta.url.includes('/dist/daemon/') ? '../../dashboard/dist/' : '../dashboard/dist/';
}

async function realPlace(values: Values): Promise<{ place: Place } | { faults: string[] }> {
  const environment = readEnvironment();
  const read = await readHouse(text(values.house) ?? environment.houseFile);
  if (!read.ok) return { faults: read.faults.map(({ message }) => message) };
  const dataDir = text(values.data) ?? environment.dataDir;
  return {
    place: { house: read.house, folder: read.folder, dataDir, simulated: false, leave: async () => {} },
  };
}

/** The demo begins anew each time, in a folder of its own that goes with it, unless one is given. */
async function demoPlace(values: Values): Promise<{ place: Place } | { faults: string[] }> {
  if (text(values.house) !== null) {
    return { faults: ['CLI_ARGUMENT: --demo must stand without --house, got both. Leave one out.'] };
  }
  const given = text(values.data);
  const dataDir = given ?? (await mkdtemp(join(tmpdir(), 'springhouse-demo-')));
  const leave = async () => {
    if (given === null) await rm(dataDir, { recursive: true, force: true });
  };
  return { place: { house: demoHouse(), folder: '.', dataDir, simulated: true, leave } };
}

async function openDemo(running: Springhouse): Promise<{ close(): Promise<void> }> {
  if (running.brokerUrl === null) throw new Error('the demo house must have a broker');
  const demo = makeDemoHouse({ seed: demoSeed, startMs: Date.now() });
  return openDemoPublisher({ url: running.brokerUrl, house: running.id, demo });
}

/** The demo is the same each time. */
const demoSeed = 1;

/** Whoever read the output may be gone; the house goes on. */
process.stdout.on('error', () => {});
process.stderr.on('error', () => {});

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

/** Resolves at the first signal; a second one ends the process at once. */
function ended(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) {
      process.once(signal, () => {
        process.once(signal, () => process.exit(1));
        resolve();
      });
    }
  });
}
