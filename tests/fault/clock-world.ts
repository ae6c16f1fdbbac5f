/**
 * A machine with a daemon, whose true time passes only as the proof says: power cuts, restarts, and a system clock that
 * is set wrong and right. Readings carry no stamp, so that all the daemon knows of time is what its clocks tell it.
 */
import { connect, type MqttClient } from 'mqtt';
import { readingTopic } from '../../probes/mqtt/reading-message.ts';
import type { HouseView } from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import { freePort } from '../machine/mosquitto.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../machine/webhook-receiver.ts';
import type { ClockFault, MachineClock } from './clock-daemon.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';

/** An event of the record, and its instant in true time. */
export type TimedEvent = { event: RecordEvent; trueMs: number };

export type ClockWorld = {
  home: DaemonHome;
  receiver: WebhookReceiver;
  /** What the daemon is wrong in; null where in nothing. */
  fault: ClockFault | null;
  /** True time, epoch ms. */
  nowMs(): number;
  /** Lets true time pass. */
  pass(spanMs: number): void;
  /** Sets how far the system's clock is ahead of true time, and whether it says that it is right. */
  setClock(to: { aheadMs: number; synchronised: boolean }): Promise<void>;
  /** Sends a reading now; resolves when it is acknowledged. */
  read(probe: string, tempC: number): Promise<void>;
  say(word: object): Promise<void>;
  /** Ends the daemon at once, or in order, and starts it after `offMs` of true time; `clock` as it then comes up. */
  restart(o: {
    how: 'kill' | 'stop';
    offMs: number;
    clock?: { aheadMs: number; synchronised: boolean };
  }): Promise<void>;
  /** The whole record, when nothing new comes any more, each event with the true time at which the daemon placed it. */
  record(): Promise<TimedEvent[]>;
  /** Passes time until every letter of these events has left, or too long. */
  drain(): Promise<void>;
  close(): Promise<void>;
};

const secret = 'twenty-four bytes and more';
const secretVariable = 'SPRINGHOUSE_PROOF_HOOK';
/** How long a daemon that is wrong is waited for. */
const waitMsMax = 1_500;

/** Makes the machine and starts its daemon at `startMs`. */
export async function openClockWorld(o: {
  startMs: number;
  probes: readonly string[];
  zone?: string;
  clock: { aheadMs: number; synchronised: boolean };
  fault?: ClockFault;
}): Promise<ClockWorld> {
  const port = await freePort();
  const receiver = await openWebhookReceiver(secret);
  const home = await makeDaemonHome({
    wires: `broker: { port: ${port} }\nways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: ${secretVariable} }\npeople:\n  - { id: milker, ways: [hook] }\n`,
    probes: o.probes,
    main: new URL('./clock-daemon.ts', import.meta.url),
    talks: true,
    trust: 'synchronised',
    ...(o.zone === undefined ? {} : { zone: o.zone }),
    variables: {
      [secretVariable]: secret,
      ...(o.fault === undefined ? {} : { SPRINGHOUSE_PROOF_FAULT: o.fault }),
    },
  });
  let trueMs = o.startMs;
  let bootMs = o.startMs;
  let clock = o.clock;
  let url = '';
  let house = '';
  let words = 0;
  let client: MqttClient | null = null;
  /** When the machine came up, in true time; turns of its clock are in the record. */
  const startedMs: number[] = [];

  const machine = (): MachineClock => ({
    systemMs: trueMs + clock.aheadMs,
    steadyMs: trueMs - bootMs,
    synchronised: clock.synchronised,
  });
  const boot = async () => {
    bootMs = trueMs;
    startedMs.push(trueMs);
    url = await home.start({ SPRINGHOUSE_PROOF_CLOCK: JSON.stringify(machine()) });
    house = ((await (await fetch(`${url}/api/house`)).json()) as { id: string }).id;
    client = await dial(`mqtt://127.0.0.1:${port}`);
  };
  const view = async () => (await (await fetch(`${url}/api/house`)).json()) as HouseView;
  const recordSeq = async () => (await view()).recordSeq;
  const record = async () => {
    let seq = await recordSeq();
    for (let quiet = 0; quiet < 3; ) {
      await new Promise((resolve) => setTimeout(resolve, 25));
      const next = await recordSeq();
      quiet = next === seq ? quiet + 1 : 0;
      seq = next;
    }
    const events: RecordEvent[] = [];
    for (let more = true; more; ) {
      const page = (await (
        await fetch(`${url}/api/record?after=${events.at(-1)?.recordSeq ?? 0}&limit=1000`)
      ).json()) as { events: RecordEvent[] };
      events.push(...page.events);
      more = page.events.length === 1_000;
    }
    return timed(events, startedMs);
  };

  await boot();
  return {
    home,
    receiver,
    fault: o.fault ?? null,
    nowMs: () => trueMs,
    pass: (spanMs) => {
      trueMs += spanMs;
    },
    setClock: async (to) => {
      const before = await recordSeq();
      const turns = to.aheadMs !== clock.aheadMs || to.synchronised !== clock.synchronised;
      clock = to;
      await home.ask(machine());
      // The turn is in the record before the next reading comes; a daemon that sees none is not waited for.
      const untilMs = performance.now() + waitMsMax;
      while (turns && performance.now() < untilMs) {
        const { recordSeq: seq, clockKnown } = await view();
        if (seq > before && (clockKnown || !to.synchronised)) return;
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    },
    read: async (probe, tempC) => {
      await home.ask(machine());
      await client?.publishAsync(readingTopic(house, probe), tempC.toFixed(4), { qos: 1 });
    },
    say: async (word) => {
      await home.ask(machine());
      words += 1;
      const answer = await fetch(`${url}/api/words`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ v: 1, id: `clock-proof-${words}`, word }),
      });
      if (!answer.ok) throw new Error(`the word must be taken, got ${await answer.text()}`);
    },
    restart: async ({ how, offMs, clock: next }) => {
      client?.end(true);
      await (how === 'kill' ? home.kill() : home.stop());
      trueMs += offMs;
      clock = next ?? clock;
      await boot();
    },
    record,
    drain: async () => {
      const untilMs = performance.now() + waitMsMax;
      let before = -1;
      while (performance.now() < untilMs && receiver.calls.length !== before) {
        before = receiver.calls.length;
        trueMs += 61_000;
        await home.ask(machine());
        await new Promise((resolve) => setTimeout(resolve, 200));
      }
    },
    close: async () => {
      client?.end(true);
      await home.remove();
      await receiver.close();
    },
  };
}

/** Each start of the daemon and each turn of its clock is an event, by which its time is known in true time. */
function timed(events: readonly RecordEvent[], startedMs: readonly number[]): TimedEvent[] {
  let starts = 0;
  let aheadMs = 0;
  return events.map((event) => {
    if (event.kind === 'house-started') aheadMs = event.atMs - (startedMs[starts++] ?? event.atMs);
    if (event.kind === 'clock-stepped') aheadMs += event.body.deltaMs;
    return { event, trueMs: event.atMs - aheadMs };
  });
}

async function dial(url: string): Promise<MqttClient> {
  const client = connect(url, { reconnectPeriod: 50 });
  await new Promise((resolve) => client.once('connect', resolve));
  client.on('error', () => {});
  return client;
}
