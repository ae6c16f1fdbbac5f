/**
 * The restart proof: a chill is open while the daemon is killed again and again; what it says, with every
 * deadline and id, is what a daemon says that was never killed, and nothing is said twice.
 */
import { connect, type MqttClient } from 'mqtt';
import { openReader } from '../../daemon/reader.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import { milkTrace } from '../daemon/watch/trace.ts';
import { freePort } from '../machine/mosquitto.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';

export type RestartReport = {
  proof: 'restart';
  seed: number;
  kills: number;
  /** What was said about the milk, in order: the ids of the record's events. */
  said: string[];
  /** Events that a daemon which was never killed says and this one did not, or the other way round. */
  different: number;
  doubled: number;
  recordFaults: number;
  spanMs: number;
};

const probe = 'jar';
/** Milk that will miss its hour, whose time is not yet up when the trace ends. */
const trace = { aroundC: -2, tauMin: 45, minutes: 45, everyMs: 5_000 } as const;

/** Plays the same jar to a daemon that lives and to one that is killed `kills` times, and compares. */
export async function proveRestart(o: { kills: number; seed: number }): Promise<RestartReport> {
  const fromMs = performance.now();
  const undisturbed = await playJar({ kills: 0, seed: o.seed });
  const killed = await playJar(o);
  const [wanted, got] = [undisturbed.events.map(essence), killed.events.map(essence)];
  const ids = killed.events.map(({ id }) => id);
  return {
    proof: 'restart',
    ...o,
    said: got.map(({ id }) => id),
    different:
      wanted.filter((each, index) => JSON.stringify(each) !== JSON.stringify(got[index])).length +
      Math.abs(wanted.length - got.length),
    doubled: ids.length - new Set(ids).size,
    recordFaults: killed.recordFaults,
    spanMs: Math.round(performance.now() - fromMs),
  };
}

/**
 * What must not depend on kills: kind and id, the window relative to its origin, and the instants of the
 * milk. When a thing was said does depend: a killed daemon says it when it is back.
 */
function essence(event: RecordEvent): { id: string; facts: unknown } {
  const { body } = event;
  const window =
    'window' in body && 'deadlineMs' in body.window
      ? { ...body.window, originMs: 0, deadlineMs: body.window.deadlineMs - body.window.originMs }
      : null;
  return { id: event.id, facts: { kind: event.kind, window } };
}

async function playJar({
  kills,
  seed,
}: {
  kills: number;
  seed: number;
}): Promise<{ events: RecordEvent[]; recordFaults: number }> {
  const random = openRandom(seed, 'restart');
  const port = await freePort();
  const home = await makeDaemonHome({ wires: `broker: { port: ${port} }`, probes: [probe] });
  try {
    let address = await home.start();
    const { id: house } = (await (await fetch(`${address}/api/house`)).json()) as { id: string };
    const rows = milkTrace(trace);
    const shiftMs = Date.now() - 60_000 - (rows.at(-1)?.atMs ?? 0);
    await say(address, { kind: 'chill-begin', probe, sinceMs: (rows[0]?.atMs ?? 0) + shiftMs });
    const killAfter = new Set(
      Array.from({ length: kills }, () => Math.floor(random.uniform() * rows.length)),
    );
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
    return await recordOf(home);
  } finally {
    await home.remove();
  }
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
  const { faults } = await reader.verify();
  const all = await reader.eventsAfter(0, 10_000);
  await reader.close();
  // When a verdict turns on the way depends on how readings come in bursts; what is said to people does not.
  const events = all.filter(({ kind }) => !kind.startsWith('house-') && kind !== 'watch-turned');
  return { events, recordFaults: faults.length };
}
