/**
 * The wires: the connection to a real broker is cut again and again while numbered readings come; and one probe sends
 * the eight hours that it had kept while others go on. Everything acknowledged is in the history once.
 */
import { connect } from 'mqtt';
import { readingTopic } from '../../probes/mqtt/reading-message.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import { until } from '../daemon/open-test-house.ts';
import { openCutWire } from '../machine/cut-wire.ts';
import { freePort, startMosquitto } from '../machine/mosquitto.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';
import { allKept } from './kept-readings.ts';
import { numbered, openNumberedPublisher } from './numbered-publisher.ts';

export type WireReport = {
  proof: 'wire';
  variant: 'cuts' | 'night';
  /** `lossy`: the control acknowledges one offer in a thousand that it does not keep. */
  fault: 'none' | 'lossy';
  seed: number;
  cuts: number;
  acknowledged: number;
  kept: number;
  lost: number;
  doubled: number;
  /** The longest that a reading of the other probes waited for its acknowledgement, ms; null where not measured. */
  slowestOtherMs: number | null;
  spanMs: number;
};

const probes = ['p0', 'p1', 'p2', 'p3'];
const lossyMain = new URL('./lossy-daemon.ts', import.meta.url);

/** Cuts the daemon's connection to its broker at random moments; needs mosquitto. */
export async function proveCuts(o: { cuts: number; seed: number; lossy?: boolean }): Promise<WireReport> {
  const fromMs = performance.now();
  const random = openRandom(o.seed, 'cuts');
  const mosquitto = await startMosquitto(['max_inflight_messages 4000', 'max_queued_bytes 0']);
  const wire = await openCutWire(mosquitto.port);
  const home = await makeDaemonHome({
    wires: `sources: [{ id: outside, kind: mqtt, url: "mqtt://127.0.0.1:${wire.port}" }]`,
    probes,
    ...(o.lossy === true ? { main: lossyMain } : {}),
  });
  try {
    const url = await home.start();
    const house = await idOf(url);
    await untilOpen(url);
    const startMs = Math.floor(Date.now() / 1000) * 1000 - 30 * 86_400_000;
    const publisher = openNumberedPublisher({ url: mosquitto.url, house: () => house, startMs, probes });
    for (let cut = 0; cut < o.cuts; cut++) {
      await new Promise((resolve) => setTimeout(resolve, 30 + random.uniform() * 400));
      wire.cut();
    }
    await publisher.drain();
    publisher.close();
    const wanted = new Set(
      [...publisher.acknowledged()].map((number) => keyOf(numbered(number, startMs, probes))),
    );
    await untilKept(home, wanted.size);
    await home.stop();
    return { ...(await judge(home, wanted)), variant: 'cuts', ...plan(o, fromMs), slowestOtherMs: null };
  } finally {
    await home.remove();
    await wire.close();
    await mosquitto.stop();
  }
}

/** One probe sends `hours` of readings, five seconds apart, as fast as it is let; three others go on meanwhile. */
export async function proveNight(o: { hours: number; seed: number; lossy?: boolean }): Promise<WireReport> {
  const fromMs = performance.now();
  const port = await freePort();
  const home = await makeDaemonHome({
    wires: `broker: { port: ${port} }`,
    probes,
    ...(o.lossy === true ? { main: lossyMain } : {}),
  });
  try {
    const house = await idOf(await home.start());
    const url = `mqtt://127.0.0.1:${port}`;
    const client = connect(url, { reconnectPeriod: 0 });
    const others = connect(url, { reconnectPeriod: 0 });
    await Promise.all(
      [client, others].map((each) => new Promise((resolve) => each.once('connect', resolve))),
    );
    const wanted = new Set<string>();
    const send = async (by: typeof client, probe: string, atMs: number) => {
      const sentMs = performance.now();
      const pack = senmlOf([{ probe, atMs, tempC: 4 + (atMs % 1_600) / 1_600 }]);
      await by.publishAsync(readingTopic(house, probe), pack, { qos: 1 });
      wanted.add(keyOf({ probe, atMs }));
      return performance.now() - sentMs;
    };
    const nowMs = Date.now();
    const count = o.hours * 720;
    let isOver = false;
    const night = Promise.all(
      Array.from({ length: count }, (_, index) => send(client, 'p0', nowMs - (count - index) * 5_000)),
    ).finally(() => {
      isOver = true;
    });
    let slowestOtherMs = 0;
    // A few go on also where the night was flushed before they began.
    for (let round = 0; !isOver || round < 5; round++) {
      for (const probe of probes.slice(1)) {
        slowestOtherMs = Math.max(slowestOtherMs, await send(others, probe, nowMs + round));
      }
    }
    await night;
    client.end(true);
    others.end(true);
    await home.stop();
    return {
      ...(await judge(home, wanted)),
      variant: 'night',
      ...plan({ ...o, cuts: 0 }, fromMs),
      slowestOtherMs: Math.round(slowestOtherMs),
    };
  } finally {
    await home.remove();
  }
}

function plan(o: { cuts: number; seed: number; lossy?: boolean }, fromMs: number) {
  const fault = o.lossy === true ? ('lossy' as const) : ('none' as const);
  return { fault, seed: o.seed, cuts: o.cuts, spanMs: Math.round(performance.now() - fromMs) };
}

function keyOf({ probe, atMs }: { probe: string; atMs: number }): string {
  return `${probe} ${atMs}`;
}

async function idOf(url: string): Promise<string> {
  return ((await (await fetch(`${url}/api/house`)).json()) as { id: string }).id;
}

async function untilOpen(url: string): Promise<void> {
  await until(
    async () =>
      ((await (await fetch(`${url}/health`)).json()) as { sources: { state: string }[] }).sources[0]?.state,
    (state) => state === 'open',
  );
}

/** Behind a broker the acknowledged may still be on the way; what is lost is waited for in vain. */
async function untilKept(home: DaemonHome, count: number): Promise<void> {
  const deadlineMs = performance.now() + 8_000;
  while ((await keptOf(home)).length < count && performance.now() < deadlineMs) {
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
}

async function keptOf({ dataDir }: DaemonHome): Promise<string[]> {
  return (await allKept(dataDir, probes)).map(keyOf);
}

async function judge(home: DaemonHome, wanted: ReadonlySet<string>) {
  const kept = await keptOf(home);
  const once = new Set(kept);
  return {
    proof: 'wire' as const,
    acknowledged: wanted.size,
    kept: kept.length,
    lost: [...wanted].filter((key) => !once.has(key)).length,
    doubled: kept.length - once.size,
  };
}
