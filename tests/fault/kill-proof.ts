/**
 * The kill proof: the daemon is killed at random moments while numbered readings come; in the end everything
 * acknowledged is in the history once, and the record is whole.
 */

import { openReader } from '../../daemon/reader.ts';
import { openWriter } from '../../daemon/writer.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { freePort, startMosquitto } from '../machine/mosquitto.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';
import { allKept } from './kept-readings.ts';
import { type NumberedPublisher, numbered, openNumberedPublisher } from './numbered-publisher.ts';

/** Who the probe talks to; `early` is the control that must lose some. */
export type KillVariant = 'embedded' | 'outside-3.1.1' | 'outside-5.0' | 'early';

type Verdict = {
  acknowledged: number;
  kept: number;
  /** Acknowledged and not in the history. */
  lost: number;
  /** In the history more than once. */
  doubled: number;
  /** In the history with another value. */
  wrong: number;
  /** What `springhouse record verify` would find, an id that two events bear among it. */
  recordFaults: number;
  events: number;
  /** Inputs of both files, of readings and of all else, whose number another one has. */
  inputsDoubled: number;
};

export type KillReport = {
  proof: 'kill';
  variant: KillVariant;
  size: 'small' | 'full';
  seed: number;
  kills: number;
} & Verdict & { spanMs: number };

const probes = ['p0', 'p1', 'p2', 'p3'];
const inputsSliceMax = 5_000;
/** How long a life lasts at most, beyond the moment when it is ready. */
const lifeMostMs = { small: 300, full: 1_500 };

/** Runs one variant; `seed` decides when each life ends. */
export async function proveKill(o: {
  variant: KillVariant;
  kills: number;
  seed: number;
  size: 'small' | 'full';
}): Promise<KillReport> {
  const fromMs = performance.now();
  const random = openRandom(o.seed, o.variant);
  const startMs = Math.floor(Date.now() / 1000) * 1000 - 30 * 86_400_000;
  const isOutside = o.variant.startsWith('outside');
  const mosquitto = isOutside
    ? await startMosquitto(['max_inflight_messages 4000', 'max_queued_bytes 0'])
    : null;
  const port = await freePort();
  const url = mosquitto?.url ?? `mqtt://127.0.0.1:${port}`;
  const wires =
    mosquitto === null
      ? `broker: { port: ${port} }`
      : `sources: [{ id: outside, kind: mqtt, url: "${url}", version: ${o.variant === 'outside-5.0' ? 5 : 3} }]`;
  const home = await makeDaemonHome({ wires, probes, acknowledgesEarly: o.variant === 'early' });
  try {
    const address = await home.start();
    const house = await houseId(address);
    await untilListening(address);
    const publisher = openNumberedPublisher({ url, house: () => house, startMs, probes });
    for (let life = 0; life < o.kills; life++) {
      await new Promise((resolve) => setTimeout(resolve, 20 + random.uniform() * lifeMostMs[o.size]));
      await home.kill();
      await untilListening(await home.start());
    }
    await publisher.drain();
    publisher.close();
    if (isOutside) await untilKept(home, publisher);
    const stopped = await home.stop();
    if (stopped.code !== 0) throw new Error(`the daemon must end with 0, got ${stopped.code}`);
    const verdict = await judge(home, { publisher, startMs });
    const { variant, size, seed, kills } = o;
    const spanMs = Math.round(performance.now() - fromMs);
    return { proof: 'kill', variant, size, seed, kills, ...verdict, spanMs };
  } finally {
    await home.remove();
    await mosquitto?.stop();
  }
}

async function houseId(address: string): Promise<string> {
  return ((await (await fetch(`${address}/api/house`)).json()) as { id: string }).id;
}

async function untilListening(address: string): Promise<void> {
  const deadlineMs = performance.now() + 10_000;
  for (;;) {
    const { sources } = (await (await fetch(`${address}/health`)).json()) as { sources: { state: string }[] };
    if (sources.length > 0 && sources.every(({ state }) => state === 'open')) return;
    if (performance.now() > deadlineMs) throw new Error('the daemon must listen within 10 s');
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

/** Behind an outside broker the acknowledged may still be on the way. */
async function untilKept(home: DaemonHome, publisher: NumberedPublisher): Promise<void> {
  const deadlineMs = performance.now() + 30_000;
  while (
    (await allKept(home.dataDir, probes)).length < publisher.acknowledged().size &&
    performance.now() < deadlineMs
  ) {
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
}

async function judge(
  home: DaemonHome,
  { publisher, startMs }: { publisher: NumberedPublisher; startMs: number },
): Promise<Verdict> {
  const kept = await allKept(home.dataDir, probes);
  const byKey = new Map<string, number>();
  let doubled = 0;
  for (const { probe, atMs, tempC } of kept) {
    const key = `${probe} ${atMs}`;
    if (byKey.has(key)) doubled += 1;
    byKey.set(key, tempC);
  }
  let lost = 0;
  let wrong = 0;
  for (const number of publisher.acknowledged()) {
    const { probe, atMs, tempC } = numbered(number, startMs, probes);
    const found = byKey.get(`${probe} ${atMs}`);
    if (found === undefined) lost += 1;
    else if (found !== tempC) wrong += 1;
  }
  return {
    acknowledged: publisher.acknowledged().size,
    kept: kept.length,
    lost,
    doubled,
    wrong,
    ...(await judgeRecord(home)),
    inputsDoubled: await inputsDoubledOf(home),
  };
}

async function judgeRecord({ dataDir }: DaemonHome): Promise<Pick<Verdict, 'recordFaults' | 'events'>> {
  const reader = await openReader({ dataDir });
  const { faultCount, events } = await reader.verify();
  await reader.close();
  return { recordFaults: faultCount, events };
}

async function inputsDoubledOf({ dataDir }: DaemonHome): Promise<number> {
  const writer = await openWriter({ dataDir });
  let [doubled, last] = [0, 0];
  for (;;) {
    const slice = await writer.inputsAfter(last, inputsSliceMax);
    if (slice.length === 0) break;
    for (const { inputSeq } of slice) {
      if (inputSeq === last) doubled += 1;
      last = inputSeq;
    }
  }
  await writer.close();
  return doubled;
}
