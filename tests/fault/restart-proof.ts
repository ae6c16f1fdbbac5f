/**
 * The restart proof: a chill is open while the daemon is killed again and again; what it says is, byte for
 * byte, what one life says of the same inputs, and nothing is said twice.
 */
import canonical from 'canonicalize';
import { connect, type MqttClient } from 'mqtt';
import { readHouse } from '../../daemon/config/read-house.ts';
import { rulesOfHouse } from '../../daemon/house-rules.ts';
import { openReader } from '../../daemon/reader.ts';
import { advance, drive } from '../../daemon/watch/drive.ts';
import { openWatching } from '../../daemon/watch/step.ts';
import { openWriter } from '../../daemon/writer.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { Happening, RecordEvent } from '../../shared/contract/event.ts';
import { milkTrace, type TraceOptions } from '../daemon/watch/trace.ts';
import { freePort } from '../machine/mosquitto.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';

/** What comes of the milk: its time is not up yet and it will miss it, or it made it. */
export type RestartJar = 'misses' | 'makes';

export type RestartReport = {
  proof: 'restart';
  jar: RestartJar;
  seed: number;
  kills: number;
  /** What was said about the milk, in order: the ids of the record's events. */
  said: string[];
  /** Events that are not, in order and in all they say, what one life says. */
  different: number;
  doubled: number;
  recordFaults: number;
  spanMs: number;
};

const probe = 'jar';
const inputsSliceMax = 5_000;
/** Neither trace goes beyond the hour, which would be over before the daemon has heard of the milk. */
const traces = {
  misses: { aroundC: -2, tauMin: 45, minutes: 45, everyMs: 5_000 },
  makes: { aroundC: -18, tauMin: 26, minutes: 45, everyMs: 5_000 },
} as const satisfies Record<RestartJar, TraceOptions>;

/** Plays a jar to a daemon that is killed `kills` times, then steps what came as one life would have. */
export async function proveRestart(o: {
  jar: RestartJar;
  kills: number;
  seed: number;
}): Promise<RestartReport> {
  const fromMs = performance.now();
  const port = await freePort();
  const home = await makeDaemonHome({ wires: `broker: { port: ${port} }`, probes: [probe] });
  try {
    await playJar(home, { ...o, port });
    const { events, recordFaults } = await recordOf(home);
    const [said, wanted] = [events.map(essence), (await replayOf(home)).map(essence)];
    const ids = events.map(({ id }) => id);
    return {
      proof: 'restart',
      ...o,
      said: ids,
      different: differences(said, wanted),
      doubled: ids.length - new Set(ids).size,
      recordFaults,
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await home.remove();
  }
}

/** All that an event says; its number and hash depend on how often the house started. */
function essence({ id, kind, atMs, by, about, because, body }: Happening): string {
  return canonical({ id, kind, atMs, by, about, because, body }) ?? '';
}

function differences(said: readonly string[], wanted: readonly string[]): number {
  const longest = said.length > wanted.length ? said : wanted;
  return longest.filter((_, index) => said[index] !== wanted[index]).length;
}

async function playJar(
  home: DaemonHome,
  { jar, kills, seed, port }: { jar: RestartJar; kills: number; seed: number; port: number },
): Promise<void> {
  const random = openRandom(seed, 'restart');
  let address = await home.start();
  const { id: house } = (await (await fetch(`${address}/api/house`)).json()) as { id: string };
  const rows = milkTrace(traces[jar]);
  const shiftMs = Date.now() - 60_000 - (rows.at(-1)?.atMs ?? 0);
  await say(address, { kind: 'chill-begin', probe, sinceMs: (rows[0]?.atMs ?? 0) + shiftMs });
  const killAfter = new Set(Array.from({ length: kills }, () => Math.floor(random.uniform() * rows.length)));
  let client = await dial(port);
  for (const [index, { atMs, tempC }] of rows.entries()) {
    const published = publish(client, house, { atMs: atMs + shiftMs, tempC });
    if (killAfter.has(index)) {
      // Killed with a reading on the way: it is sent again, as a probe would.
      await home.kill();
      published.catch(() => {});
      client.end(true);
      address = await home.start();
      client = await dial(port);
      await publish(client, house, { atMs: atMs + shiftMs, tempC });
    } else await published;
  }
  client.end(true);
  await settled(address);
  await home.stop();
}

async function say(address: string, word: object): Promise<void> {
  const answer = await fetch(`${address}/api/words`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ v: 1, id: 'restart-proof-word', word }),
  });
  if (!answer.ok) throw new Error(`the word must be taken, got ${answer.status}: ${await answer.text()}`);
}

async function dial(port: number): Promise<MqttClient> {
  const deadlineMs = performance.now() + 10_000;
  for (;;) {
    const client = connect(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 0 });
    const isOpen = await new Promise<boolean>((resolve) => {
      client.once('connect', () => resolve(true));
      client.once('error', () => resolve(false));
    });
    client.on('error', () => {});
    if (isOpen) return client;
    client.end(true);
    if (performance.now() > deadlineMs) throw new Error('the daemon must listen within 10 s');
  }
}

async function publish(
  client: MqttClient,
  house: string,
  row: { atMs: number; tempC: number },
): Promise<void> {
  await client.publishAsync(`springhouse/${house}/reading/${probe}`, senmlOf([{ probe, ...row }]), {
    qos: 1,
  });
}

/** Waits until all that was committed is watched and what came of it is kept. */
async function settled(address: string): Promise<void> {
  const deadlineMs = performance.now() + 10_000;
  let before = -1;
  while (performance.now() < deadlineMs) {
    const { recordSeq } = (await (await fetch(`${address}/api/house`)).json()) as { recordSeq: number };
    if (recordSeq === before) return;
    before = recordSeq;
    await new Promise((resolve) => setTimeout(resolve, 300));
  }
}

async function recordOf({ dataDir }: DaemonHome): Promise<{ events: RecordEvent[]; recordFaults: number }> {
  const reader = await openReader({ dataDir });
  const { faultCount, events } = await reader.verify();
  const all = await reader.eventsAfter(0, events);
  await reader.close();
  return { events: all.filter(({ kind }) => !kind.startsWith('house-')), recordFaults: faultCount };
}

/** What the watching says of the same inputs in one life: it starts once, and no snapshot is taken or read. */
async function replayOf({ dataDir, houseFile }: DaemonHome): Promise<Happening[]> {
  const read = await readHouse(houseFile);
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join('\n'));
  const rules = rulesOfHouse(read.house);
  const watching = openWatching([]);
  const happenings: Happening[] = [];
  const writer = await openWriter({ dataDir });
  for (let last = 0, starts = 0; ; ) {
    const inputs = await writer.inputsAfter(last, inputsSliceMax);
    if (inputs.length === 0) break;
    for (const input of inputs) {
      last = input.inputSeq;
      if (input.kind === 'start') starts += 1;
      if (input.kind !== 'start' || starts === 1) happenings.push(...drive(watching, input, rules));
    }
  }
  const { closedMs } = await writer.meta();
  await writer.close();
  happenings.push(...advance(watching, Number(closedMs), rules));
  return happenings.filter(({ kind }) => !kind.startsWith('house-'));
}
