import { connect, type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Springhouse } from '../../daemon/compose.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { HouseView, Notice, WatchView } from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import { makeTestFolder, openTestHouse, type TestFolder, until } from './open-test-house.ts';
import { milkTrace } from './watch/trace.ts';

const get = async <T>(url: string) => (await (await fetch(url)).json()) as T;
const post = (url: string, body: object) =>
  fetch(url, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });

/** A doomed jar until a minute ago: milk at the start of minute 4, then 20 minutes in slow cold. */
function rows(): { probe: string; atMs: number; tempC: number }[] {
  const trace = milkTrace({ beforeMin: 4, aroundC: -2, tauMin: 60, minutes: 20, everyMs: 4_000 });
  const shiftMs = Date.now() - 30_000 - (trace.at(-1)?.atMs ?? 0);
  return trace.map(({ atMs, tempC }) => ({ probe: 'jar', atMs: atMs + shiftMs, tempC }));
}

async function dial(house: Springhouse): Promise<MqttClient> {
  const client = connect(house.brokerUrl as string, { reconnectPeriod: 0 });
  await new Promise((resolve) => client.once('connect', resolve));
  return client;
}

async function publish(house: Springhouse, readings: ReturnType<typeof rows>): Promise<void> {
  const client = await dial(house);
  const topic = `springhouse/${house.id}/reading/jar`;
  const packs = Array.from({ length: Math.ceil(readings.length / 25) }, (_, index) =>
    readings.slice(index * 25, index * 25 + 25),
  );
  for (const pack of packs) await client.publishAsync(topic, senmlOf(pack), { qos: 1 });
  await client.endAsync();
}

describe('a whole house', () => {
  let folder: TestFolder;
  let house: Springhouse | null;

  beforeEach(async () => {
    folder = await makeTestFolder();
    house = await openTestHouse(folder.dataDir);
  });

  afterEach(async () => {
    await house?.close();
    await folder.remove();
  });

  it('goes from a probe to a warning: watch, forecast, notice, record, history, MQTT out', async () => {
    const home = house as Springhouse;
    const listener = await dial(home);
    const heard = new Map<string, string>();
    listener.on('message', (topic, payload) => heard.set(topic, payload.toString()));
    await listener.subscribeAsync(`springhouse/${home.id}/#`, { qos: 1 });
    await publish(home, rows());
    const { watches } = await until(
      () => get<{ watches: WatchView[] }>(`${home.url}/api/watches`),
      ({ watches: [first] }) => first?.state === 'not-on-course',
    );
    expect(watches).toMatchObject([
      { probe: 'jar', kind: 'chill', forecast: { verdict: 'not-on-course', assumed: { place: 'freezer' } } },
    ]);
    const { notices } = await until(
      () => get<{ notices: Notice[] }>(`${home.url}/api/notices`),
      (answer) => answer.notices.length > 0,
    );
    expect(notices).toMatchObject([{ code: 'chill-will-miss', weight: 'warn', probe: 'jar' }]);
    expect(notices[0]?.text).toMatch(/^Bramble: into .* ice/);
    const { events } = await get<{ events: RecordEvent[] }>(`${home.url}/api/record?after=0`);
    expect(events.map(({ kind }) => kind)).toEqual([
      'house-made',
      'house-started',
      'sitting-opened',
      'watch-opened',
      'watch-turned',
      'chill-will-miss',
    ]);
    const history = await get<{ buckets: { count: number }[] }>(
      `${home.url}/api/history/jar?from=${Date.now() - 3_600_000}&to=${Date.now()}&points=10`,
    );
    expect(history.buckets.reduce((sum, { count }) => sum + count, 0)).toBe(rows().length);
    const watch = `springhouse/${home.id}/watch/${watches[0]?.id}`;
    await until(
      async () => [...heard.keys()],
      (topics) => topics.includes(watch) && topics.includes(`springhouse/${home.id}/notice`),
    );
    expect(heard.get(`springhouse/${home.id}/alive`)).toBe('1');
    await listener.endAsync();
  });

  it('takes a word once, and refuses one about what it does not have', async () => {
    const home = house as Springhouse;
    const said = { v: 1, id: 'word-00000001', word: { kind: 'chill-begin', probe: 'jar' } };
    const first = await post(`${home.url}/api/words`, said);
    expect(await first.json()).toMatchObject({ already: false });
    expect(await (await post(`${home.url}/api/words`, said)).json()).toMatchObject({ already: true });
    const { watches } = await get<{ watches: WatchView[] }>(`${home.url}/api/watches`);
    expect(watches).toMatchObject([{ probe: 'jar', state: 'too-early', window: { origin: 'word' } }]);
    const unknown = {
      ...said,
      id: 'word-00000002',
      word: { kind: 'moved', probe: 'churn', place: 'ice-tub' },
    };
    const answer = await post(`${home.url}/api/words`, unknown);
    expect([answer.status, await answer.json()]).toMatchObject([404, { code: 'WORD_PROBE' }]);
    const old = {
      ...said,
      id: 'word-00000003',
      word: { kind: 'milking-ended', probe: 'jar', atMs: Date.now() - 86_400_000 },
    };
    const late = await post(`${home.url}/api/words`, old);
    expect([late.status, await late.json()]).toMatchObject([422, { code: 'WORD_INSTANT' }]);
  });

  it('refuses and shows a probe that the house file does not have, and keeps nothing of it', async () => {
    const home = house as Springhouse;
    const client = await dial(home);
    const topic = `springhouse/${home.id}/reading/churn`;
    await client.publishAsync(topic, senmlOf([{ probe: 'churn', atMs: Date.now(), tempC: 8 }]), { qos: 1 });
    await client.endAsync();
    const answer = await get<{ probes: { id: string }[]; refusals: object[] }>(`${home.url}/api/probes`);
    expect(answer.probes.map(({ id }) => id)).toEqual(['jar']);
    expect(answer.refusals).toEqual([
      {
        source: 'broker',
        probe: 'churn',
        code: 'WIRE_PROBE',
        message:
          'probe must be one of the house file, got churn on broker. Add it there, or correct the id in the device.',
      },
    ]);
  });

  it('tells the live feed each event with its number, and newest values', async () => {
    const home = house as Springhouse;
    const feed = await fetch(`${home.url}/api/live?after=0`);
    const reader = (feed.body as ReadableStream<Uint8Array>).getReader();
    await post(`${home.url}/api/words`, {
      v: 1,
      id: 'word-00000001',
      word: { kind: 'chill-begin', probe: 'jar' },
    });
    let told = '';
    await until(
      async () => {
        told += new TextDecoder().decode((await reader.read()).value);
        return told;
      },
      (text) => text.includes('watch-opened') && text.includes('"kind":"watch"'),
    );
    await reader.cancel();
    const ids = [...told.matchAll(/event: record\nid: (\d+)/g)].map(([, id]) => Number(id));
    expect(ids).toEqual(Array.from({ length: ids.length }, (_, index) => index + 1));
  });

  it('lets no second house into its folder, and is unharmed by the try', async () => {
    await expect(openTestHouse(folder.dataDir)).rejects.toThrow(/^DATA_BUSY: /);
    expect(await get<HouseView>(`${house?.url}/api/house`)).toMatchObject({ name: 'Larkfell', recordSeq: 2 });
  });

  it('is the same house when it opens again: id, watch, and that it was closed in order', async () => {
    const home = house as Springhouse;
    await publish(home, rows());
    const before = await until(
      () => get<{ watches: WatchView[] }>(`${home.url}/api/watches`),
      ({ watches: [first] }) => first?.state === 'not-on-course',
    );
    await home.close();
    house = await openTestHouse(folder.dataDir);
    expect(house.id).toBe(home.id);
    const after = await get<{ watches: WatchView[] }>(`${house.url}/api/watches`);
    expect(after.watches.map(({ id, window }) => ({ id, window }))).toEqual(
      before.watches.map(({ id, window }) => ({ id, window })),
    );
    const { url } = house;
    const { events } = await until(
      () => get<{ events: RecordEvent[] }>(`${url}/api/record?after=0`),
      (answer) => answer.events.filter(({ kind }) => kind === 'house-started').length === 2,
    );
    expect(events.findLast(({ kind }) => kind === 'house-started')).toMatchObject({ body: { clean: true } });
    expect(new Set(events.map(({ id }) => id)).size).toBe(events.length);
  });

  it('loses nothing and says nothing twice where three writes in a row fail', async () => {
    await house?.close();
    await folder.remove();
    folder = await makeTestFolder();
    house = await openTestHouse(folder.dataDir, { writer: { failNthWrite: 8, failWrites: 3 } });
    const home = house;
    const readings = rows();
    const client = connect(home.brokerUrl as string, { reconnectPeriod: 20 });
    await Promise.all(
      readings.map((reading) =>
        client.publishAsync(`springhouse/${home.id}/reading/jar`, senmlOf([reading]), { qos: 1 }),
      ),
    );
    await client.endAsync();
    await until(
      () => get<{ notices: Notice[] }>(`${home.url}/api/notices`),
      ({ notices }) => notices.some(({ code }) => code === 'chill-will-miss'),
    );
    const { probes } = await get<{ probes: { counts: { taken: number } }[] }>(`${home.url}/api/probes`);
    expect(probes[0]?.counts.taken).toBe(readings.length);
    const { events } = await get<{ events: RecordEvent[] }>(`${home.url}/api/record?after=0`);
    expect(events.map(({ recordSeq }) => recordSeq)).toEqual(events.map((_, index) => index + 1));
    expect(events.filter(({ kind }) => kind === 'chill-will-miss')).toHaveLength(1);
  });
});
