/**
 * The proof of the notices: while writes of the disk fail, or the daemon is killed, and a webhook's far end
 * fails and comes back, every notice of the record arrives, no event is in the record twice, and nothing is
 * called sent that did not arrive.
 */
import { join } from 'node:path';
import { connect, type MqttClient } from 'mqtt';
import type { Springhouse, SpringhouseOptions } from '../../daemon/compose.ts';
import { openReader } from '../../daemon/reader.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import { isNotice } from '../../shared/contract/event.ts';
import { openNotifyHouse } from '../daemon/notify/notify-house.ts';
import { makeTestFolder, until } from '../daemon/open-test-house.ts';
import { freePort } from '../machine/mosquitto.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../machine/webhook-receiver.ts';
import { makeDaemonHome } from './daemon-process.ts';

export type NoticesReport = {
  proof: 'notices';
  variant: 'writes' | 'kills' | 'early';
  seed: number;
  faults: number;
  notices: number;
  /** Notices of the record that no letter brought. */
  lost: number;
  /** Letters that count as sent and never arrived. */
  falselySent: number;
  /** Events that are in the record twice. */
  doubled: number;
  /** Letters that came more than once; their id says so. */
  repeated: number;
  spanMs: number;
};

const secret = 'twenty-four bytes and more';
const secretVariable = 'SPRINGHOUSE_PROOF_HOOK';

/** Lines of a house file with one webhook. */
function hookLines(receiver: WebhookReceiver): string {
  process.env[secretVariable] = secret;
  return `ways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: ${secretVariable} }\npeople:\n  - { id: milker, ways: [hook] }\n`;
}

/** Fails every write in turn, a few at a time; `early` is the control that calls letters sent as it fetches them. */
export async function proveNoticesWrites(o: {
  writes: number;
  seed: number;
  early?: boolean;
}): Promise<NoticesReport> {
  const fromMs = performance.now();
  const random = openRandom(o.seed, 'notices');
  const sums = { notices: 0, lost: 0, falselySent: 0, doubled: 0, repeated: 0 };
  for (let nth = 1; nth <= o.writes; nth++) {
    const folder = await makeTestFolder();
    const receiver = await openWebhookReceiver(secret);
    try {
      const writer = { failNthWrite: nth + 2, failWrites: 1 + Math.floor(random.uniform() * 3) };
      const planted = o.early === true ? { storeOf: earlyStore } : {};
      receiver.answer(503);
      const opened = await openOrAgain(folder.dataDir, hookLines(receiver), { writer, ...planted });
      await sayMissed(opened, `${nth}a`);
      await until(
        async () => receiver.refused.length,
        (count) => count > 0,
      );
      receiver.answer(204);
      await sayMissed(opened, `${nth}b`);
      await (o.early === true ? untilTold(receiver) : untilSettled(folder.dataDir, receiver, 2));
      // The failing write may be the very last; a restart takes it as an end without order.
      await opened.close().catch(onlyPlanted);
      const judged = await judge(folder.dataDir, receiver);
      for (const key of Object.keys(sums) as (keyof typeof sums)[]) sums[key] += judged[key];
    } finally {
      await receiver.close();
      await folder.remove();
    }
  }
  const variant = o.early === true ? 'early' : 'writes';
  return {
    proof: 'notices',
    variant,
    seed: o.seed,
    faults: o.writes,
    ...sums,
    spanMs: Math.round(performance.now() - fromMs),
  };
}

/** Waits for the second notice, where the first is known to be lost. */
async function untilTold(receiver: WebhookReceiver): Promise<void> {
  await until(
    async () => receiver.calls.length,
    (count) => count > 0,
  );
}

/** A start that the failing write itself prevents is made again, as a supervisor does. */
async function openOrAgain(
  dataDir: string,
  lines: string,
  more: Partial<SpringhouseOptions>,
): Promise<Springhouse> {
  try {
    return await openNotifyHouse(dataDir, lines, more);
  } catch (error) {
    onlyPlanted(error);
    const { writer: _failing, ...rest } = more;
    return openNotifyHouse(dataDir, lines, rest);
  }
}

function onlyPlanted(error: unknown): void {
  if (!String(error).includes('planted fault')) throw error;
}

/** The control: settles a letter as sent before it is. */
const earlyStore: NonNullable<SpringhouseOptions['storeOf']> = (store) => ({
  ...store,
  lettersOf: async (way, limit) => {
    const letters = await store.lettersOf(way, limit);
    for (const { letterSeq } of letters)
      await store.settleLetter({ way, letterSeq, nowMs: Date.now(), is: 'sent' });
    return letters;
  },
});

/** Kills the daemon at random moments while notices come and the far end is up, failing or gone. */
export async function proveNoticesKills(o: { kills: number; seed: number }): Promise<NoticesReport> {
  const fromMs = performance.now();
  const random = openRandom(o.seed, 'notices killed');
  const receiver = await openWebhookReceiver(secret);
  const port = await freePort();
  const home = await makeDaemonHome({
    wires: `broker: { port: ${port} }\n${hookLines(receiver)}`,
    probes: ['jar'],
  });
  try {
    for (let life = 0; life < o.kills; life++) {
      const url = await home.start();
      const mood = random.uniform();
      if (mood < 0.3) await receiver.down();
      else {
        await receiver.down();
        await receiver.up();
        receiver.answer(mood < 0.6 ? 503 : 204);
      }
      const house = { url, brokerUrl: `mqtt://127.0.0.1:${port}`, id: await idOf(url) };
      const said = sayMissed(house, `life${life}`).catch(() => {});
      await Promise.race([said, new Promise((resolve) => setTimeout(resolve, random.uniform() * 600))]);
      await home.kill();
      await said;
    }
    await receiver.down();
    await receiver.up();
    receiver.answer(204);
    await home.start();
    await untilSettled(home.dataDir, receiver, 1);
    await home.stop();
    const judged = await judge(home.dataDir, receiver);
    return {
      proof: 'notices',
      variant: 'kills',
      seed: o.seed,
      faults: o.kills,
      ...judged,
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await home.remove();
    await receiver.close();
  }
}

type Addressed = Pick<Springhouse, 'id' | 'url' | 'brokerUrl'>;

/** Makes one notice: a chill whose time is up as it begins, and a warm reading. Rejects where the house goes. */
async function sayMissed({ id, url, brokerUrl }: Addressed, name: string): Promise<void> {
  const nowMs = Date.now();
  const word = { kind: 'chill-begin', probe: 'jar', sinceMs: nowMs - 120_000, spanMs: 60_000 };
  const posted = JSON.stringify({ v: 1, id: `word-${name}`.padEnd(12, '-'), word });
  await until(
    async () =>
      (
        await fetch(`${url}/api/words`, {
          method: 'POST',
          headers: { 'content-type': 'application/json' },
          body: posted,
        })
      ).status,
    (status) => status === 200,
  );
  const client = await connected(brokerUrl as string);
  try {
    const pack = senmlOf([{ probe: 'jar', atMs: nowMs, tempC: 20 }]);
    const published = client.publishAsync(`springhouse/${id}/reading/jar`, pack, { qos: 1 });
    await Promise.race([
      published,
      new Promise((_, reject) => setTimeout(reject, 8_000, new Error('not acknowledged'))),
    ]);
  } finally {
    client.end(true);
  }
}

function connected(url: string): Promise<MqttClient> {
  const client = connect(url, { reconnectPeriod: 100, connectTimeout: 2_000 });
  return new Promise((resolve, reject) => {
    client.once('connect', () => resolve(client));
    setTimeout(() => {
      if (!client.connected) client.end(true, () => reject(new Error('no broker')));
    }, 2_000).unref();
  });
}

async function idOf(url: string): Promise<string> {
  return ((await (await fetch(`${url}/api/house`)).json()) as { id: string }).id;
}

/** What is gathered beyond twenty letters leaves at the end of its minute. */
const settleMsMax = 80_000;

/** Waits until as many notices are in the record as are expected and none lacks its letter, or too long. */
async function untilSettled(dataDir: string, receiver: WebhookReceiver, expected: number): Promise<void> {
  const deadlineMs = performance.now() + settleMsMax;
  for (;;) {
    const { notices, lost } = await judge(dataDir, receiver);
    if ((notices >= expected && lost === 0) || performance.now() > deadlineMs) return;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
}

type Judged = Pick<NoticesReport, 'notices' | 'lost' | 'falselySent' | 'doubled' | 'repeated'>;

/** Holds the record, the outbox and what arrived against each other. */
async function judge(dataDir: string, receiver: WebhookReceiver): Promise<Judged> {
  const reader = await openReader({ dataDir });
  const events = await reader.eventsAfter(0, 10_000);
  await reader.close();
  const database = openDatabase({ path: join(dataDir, 'house.db'), mode: 'read' });
  const rows = database
    .prepare<{ id: string; seqs: string; more: number; state: string }>(
      "SELECT id, seqs, more, state FROM outbox WHERE way = 'hook'",
    )
    .all();
  database.close();
  const arrived = new Set(receiver.calls.map(({ event }) => event.data.id));
  const sent = rows.filter(({ state }) => state === 'sent');
  const named = new Set(
    sent.filter(({ id }) => arrived.has(id)).flatMap(({ seqs }) => JSON.parse(seqs) as number[]),
  );
  const counted = sent.reduce((sum, { more }) => sum + more, 0);
  // News of an open matter brings the newest event of it; a way's own turns are told by the other ways, of which there are none.
  const notices = events.filter((event) => isNotice(event) && event.kind === 'chill-missed');
  return {
    notices: notices.length,
    lost: Math.max(0, notices.filter(({ recordSeq }) => !named.has(recordSeq)).length - counted),
    falselySent: sent.filter(({ id }) => !arrived.has(id)).length,
    doubled: events.length - new Set(events.map(({ id }) => id)).size,
    repeated: receiver.calls.length - arrived.size,
  };
}
