/** `springhouse inspect`: looks at everything and says what to do. Wiring. */
import { resolve } from 'node:path';
import type { z } from 'zod';
import type { Health, probesView } from '../shared/contract/api.ts';
import { doorSettings, type OpenedView, type PersonView } from '../shared/contract/door.ts';
import type { WaysView } from '../shared/contract/notify.ts';
import { askOwner } from './ask-owner.ts';
import type { Values } from './cli/parse-command.ts';
import { systemClock } from './clock/system-clock.ts';
import { text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import type { House } from './config/house-file.ts';
import { readHouse } from './config/read-house.ts';
import { dataPaths } from './data-folder.ts';
import { endsSoon, readCertificate } from './door/certificate.ts';
import { type Finding, findingLines, look, well, wrong } from './inspect/finding.ts';
import {
  inspectBroker,
  inspectClock,
  inspectDisk,
  inspectOnewire,
  inspectSerial,
} from './inspect/machine.ts';
import { inspectDoors, inspectHealth, inspectProbes, inspectWays } from './inspect/running.ts';
import { release } from './release.ts';
import { openDatabase } from './sqlite/database.ts';

/** Prints what was found; 1 where something is wrong, 0 where nothing is. */
export async function runInspect(values: Values): Promise<number> {
  const environment = readEnvironment();
  const dataDir = resolve(text(values.data) ?? environment.dataDir);
  const houseFile = text(values.house) ?? environment.houseFile;
  const findings = [
    well('release', `${release}, Node ${process.versions.node}`),
    ...(await inspectFile(houseFile)),
    await inspectDisk(dataDir),
    ...(await inspectCertificate(dataDir)),
    ...(await inspectRunning(dataDir)),
  ];
  const lines = values.json === true ? [JSON.stringify(findings)] : findingLines(findings);
  process.stdout.write(`${lines.join('\n')}\n`);
  return findings.some(({ state }) => state === 'wrong') ? 1 : 0;
}

async function inspectFile(path: string): Promise<Finding[]> {
  const read = await readHouse(path);
  if (!read.ok) {
    return read.faults.map(({ message }) =>
      wrong('house file', message, 'springhouse check tells all faults of the file.'),
    );
  }
  const isSet = await systemClock.isSynchronised();
  const wires = await Promise.all(read.house.sources.map(inspectSource));
  return [well('house file', `${path} is in order`), inspectClock(isSet, read.house.clock.trust), ...wires];
}

function inspectSource(source: House['sources'][number]): Promise<Finding> {
  switch (source.kind) {
    case 'serial':
      return inspectSerial(source.id, source.path);
    case 'onewire':
      return inspectOnewire(source.id, source.path, Object.keys(source.sensors));
    case 'mqtt':
      return inspectBroker(source.id, source.url);
    default:
      return source satisfies never;
  }
}

/** Looks at the certificate that the doors were given, also while the house does not run. */
async function inspectCertificate(dataDir: string): Promise<Finding[]> {
  const settings = keptDoor(dataDir);
  if (settings === null || settings.certFile === null || settings.keyFile === null) return [];
  const { certFile, keyFile } = settings;
  const read = await readCertificate({ certFile, keyFile }, Date.now());
  if (!read.ok)
    return [wrong('certificate', read.message, 'Renew it; a house that runs takes the new one by itself.')];
  const { names, untilMs } = read.certificate;
  const says = `for ${names.join(', ')}, until ${new Date(untilMs).toISOString().slice(0, 10)}`;
  if (endsSoon(untilMs, Date.now()))
    return [look('certificate', says, 'Renew it; a house that runs takes the new one by itself.')];
  return [well('certificate', says)];
}

function keptDoor(dataDir: string) {
  try {
    const database = openDatabase({ path: dataPaths(dataDir).house, mode: 'read' });
    try {
      const row = database.prepare<{ settings: string }>('SELECT settings FROM door').first();
      return row === undefined ? null : doorSettings.parse(JSON.parse(row.settings));
    } finally {
      database.close();
    }
  } catch {
    // No house has run here yet, or its file cannot be read: the disk and the house say so themselves.
    return null;
  }
}

async function inspectRunning(dataDir: string): Promise<Finding[]> {
  const health = await answerOf<Health>(dataDir, '/health');
  if (health === null) {
    return [
      look(
        'house',
        'none runs on this data folder, so probes and ways were not looked at',
        'Start it: springhouse run',
      ),
    ];
  }
  const [probes, ways, opened, people] = await Promise.all([
    answerOf<z.infer<typeof probesView>>(dataDir, '/api/probes'),
    answerOf<WaysView>(dataDir, '/api/ways'),
    answerOf<OpenedView>(dataDir, '/owner/opened'),
    answerOf<{ people: PersonView[] }>(dataDir, '/api/people'),
  ]);
  return [
    ...inspectHealth(health),
    ...inspectProbes(probes?.probes ?? []),
    ...(ways === null ? [] : inspectWays(ways)),
    ...(opened === null ? [] : inspectDoors(opened, people?.people ?? [])),
  ];
}

/** A house that cannot keep readings answers /health with 503, and its body is the same. */
async function answerOf<T>(dataDir: string, path: string): Promise<T | null> {
  const answered = await askOwner(dataDir, path).catch(() => null);
  if (answered === null || answered.is === 'away') return null;
  return answered.is === 'answer' || path === '/health' ? (answered.body as T) : null;
}
