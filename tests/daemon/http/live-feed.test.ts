import { describe, expect, test } from 'vitest';
import { liveClientsMax } from '../../../daemon/http/limits.ts';
import { heldEventsMax, liveBox } from '../../../daemon/http/live-box.ts';
import { liveFeed } from '../../../daemon/http/live-feed.ts';
import type { Problem } from '../../../shared/contract/api.ts';
import { liveValueMessage } from '../../../shared/contract/api.ts';
import { recordEvent } from '../../../shared/contract/event.ts';
import { readFeed } from './feed-reader.ts';
import { chill, houseInMemory, jar, listening } from './house-in-memory.ts';

function numbers(from: number, to: number): number[] {
  return Array.from({ length: to - from + 1 }, (_none, index) => from + index);
}

/** Lets everything that is ready run, so that readers and writers take turns. */
const turn = () => new Promise((resolve) => setImmediate(resolve));

describe('the live feed', () => {
  test('begins now with an id, then all current values, then what comes', async () => {
    const house = houseInMemory();
    house.happen();
    const { url } = await listening(house.desk);
    const feed = await readFeed(`${url}/api/live`);
    await feed.until(() => feed.messages.length === 3);
    const event = house.happen();
    house.change({ kind: 'probe', value: { ...jar, state: 'silent' } });
    await feed.until(() => feed.messages.length === 5);
    expect(feed.messages.map(({ event, id }) => [event, id])).toEqual([
      ['', '1'],
      ['value', ''],
      ['value', ''],
      ['record', '2'],
      ['value', ''],
    ]);
    const data = feed.messages.slice(1).map((message) => JSON.parse(message.data));
    expect(data).toEqual([
      { v: 1, kind: 'probe', value: jar },
      { v: 1, kind: 'watch', value: chill },
      event,
      { v: 1, kind: 'probe', value: { ...jar, state: 'silent' } },
    ]);
    expect(recordEvent.parse(data[2])).toEqual(event);
    for (const value of [data[0], data[1], data[3]]) expect(liveValueMessage.parse(value)).toEqual(value);
  });

  test.each([
    ['Last-Event-ID', '/api/live', { 'last-event-id': '2' }],
    ['?after=', '/api/live?after=2', {}],
    ['Last-Event-ID before ?after=', '/api/live?after=4', { 'last-event-id': '2' }],
  ])('resumes by %s with the events missed, then values', async (_how, path, headers) => {
    const house = houseInMemory();
    for (let i = 0; i < 5; i += 1) house.happen();
    const { url } = await listening(house.desk);
    const feed = await readFeed(url + path, { headers });
    await feed.until(() => feed.messages.length === 6);
    expect(feed.messages.map(({ event, id }) => [event, id])).toEqual([
      ['', '2'],
      ['record', '3'],
      ['record', '4'],
      ['record', '5'],
      ['value', ''],
      ['value', ''],
    ]);
  });

  test('begins now for a seq beyond the record, and for an id of somebody else', async () => {
    const house = houseInMemory();
    house.happen();
    const { url } = await listening(house.desk);
    for (const id of ['99', 'abc', '-1']) {
      const feed = await readFeed(`${url}/api/live`, { headers: { 'last-event-id': id } });
      await feed.until(() => feed.messages.length === 3);
      expect(feed.messages[0]?.id).toBe('1');
    }
    const refused = await fetch(`${url}/api/live?after=x`);
    expect([refused.status, ((await refused.json()) as Problem).code]).toEqual([400, 'HTTP_QUERY']);
  });

  test('loses and doubles nothing while events are written and clients come and go', async () => {
    const house = houseInMemory();
    for (let i = 0; i < 300; i += 1) house.happen();
    const { url } = await listening(house.desk);
    const steady = await readFeed(`${url}/api/live?after=0`);
    const seen: number[] = [];
    let isWriting = true;
    const comesAndGoes = async () => {
      for (let visit = 0; isWriting || seen.length < 1500; visit += 1) {
        const feed = await readFeed(`${url}/api/live`, {
          headers: { 'last-event-id': String(seen.at(-1) ?? 0) },
        });
        await feed.until(
          () => feed.seqs().length > (visit % 7) * 20 || (!isWriting && feed.seqs().at(-1) === 1500),
        );
        seen.push(...feed.seqs());
        feed.leave();
      }
    };
    const visitor = comesAndGoes();
    for (let i = 0; i < 1200; i += 1) {
      house.happen();
      if (i % 3 === 0) await turn();
    }
    isWriting = false;
    await visitor;
    await steady.until(() => steady.seqs().length >= 1500);
    expect(seen).toEqual(numbers(1, 1500));
    expect(steady.seqs()).toEqual(numbers(1, 1500));
  });

  test('makes nothing for a client that does not read, and gives it all from the record later', async () => {
    const house = houseInMemory();
    const { url } = await listening(house.desk);
    const feed = await readFeed(`${url}/api/live?after=0`, { isReading: false });
    const before = process.memoryUsage();
    for (let i = 0; i < 10_000; i += 1) {
      house.happen(6_000);
      house.change({ kind: 'probe', value: { ...jar, counts: { ...jar.counts, taken: i } } });
      if (i % 10 === 0) await turn();
    }
    const after = process.memoryUsage();
    const grownMB = (after.heapUsed + after.external - before.heapUsed - before.external) / 1e6;

    expect(grownMB).toBeLessThan(30);
    feed.readOn();
    await feed.until(() => feed.seqs().length >= 10_000);
    expect(feed.seqs()).toEqual(numbers(1, 10_000));
    const values = feed.messages
      .filter(({ event }) => event === 'value')
      .map(({ data }) => JSON.parse(data).value);
    expect(values.length).toBeLessThan(5_000);
    expect(values.filter(({ id }) => id === 'jar').at(-1).counts.taken).toBe(9_999);
  });

  test('says by a comment that it is still there', async () => {
    const { url } = await listening(houseInMemory().desk, { heartbeatMs: 20 });
    const feed = await readFeed(`${url}/api/live`);
    await feed.until(() => feed.messages.filter(({ comment }) => comment === 'still here').length >= 2);
  });

  test('refuses one client too many, and takes it once another has left', async () => {
    const house = houseInMemory();
    const { url } = await listening(house.desk);
    const feeds = await Promise.all(numbers(1, liveClientsMax).map(() => readFeed(`${url}/api/live`)));
    const refused = await fetch(`${url}/api/live`);
    expect([refused.status, await refused.json()]).toEqual([
      503,
      {
        v: 1,
        code: 'LIVE_FULL',
        message: 'The live feed must have at most 64 readers, got one more. Close a page and come again.',
      },
    ]);
    feeds[0]?.leave();
    await expect.poll(() => house.listening()).toBe(liveClientsMax - 1);
    expect((await readFeed(`${url}/api/live`)).status).toBe(200);
  });

  test('ends where the record cannot be read, says so, and goes on when the client comes again', async () => {
    const house = houseInMemory();
    const bugs: string[] = [];
    const { url } = await listening(house.desk, { onBug: (error) => bugs.push((error as Error).message) });
    house.happen();
    house.switches.recordGone = true;
    const feed = await readFeed(`${url}/api/live?after=0`);
    await feed.until(feed.isEnded);
    expect([bugs, house.listening()]).toEqual([['the reader is gone'], 0]);
    house.switches.recordGone = false;
    const again = await readFeed(`${url}/api/live?after=0`);
    await again.until(() => again.seqs().length === 1);
  });

  test('refuses pages of others before it opens', async () => {
    const { url } = await listening(houseInMemory().desk);
    for (const headers of [{ origin: 'https://larkfell.example' }, { 'sec-fetch-site': 'cross-site' }]) {
      const feed = await readFeed(`${url}/api/live`, { headers });
      expect(feed.status).toBe(403);
    }
    expect((await fetch(`${url}/api/live`, { method: 'HEAD' })).status).toBe(404);
  });

  test('asks the record again where it does not show an event yet', async () => {
    const house = houseInMemory();
    const late = {
      ...house.desk,
      events: async (ask: { afterSeq: number; limit: number }) => {
        house.asked.events += 1;
        return house.asked.events < 3 ? [] : house.desk.events(ask);
      },
    };
    const ending = new AbortController();
    const feed = liveFeed({ desk: late, afterSeq: 0, heartbeatMs: 10_000, signal: ending.signal });
    await feed.next();
    for (let i = 0; i <= heldEventsMax; i += 1) house.happen();
    let text = '';
    while (!text.includes(`id: ${heldEventsMax + 1}\n`)) text += (await feed.next()).value ?? '';
    expect([...text.matchAll(/^id: (\d+)$/gm)].map(([, id]) => Number(id))).toEqual(
      numbers(1, heldEventsMax + 1),
    );
    ending.abort();
  });
});

describe('the box of one client', () => {
  test('gives held events once, and none where some were let go', () => {
    const house = houseInMemory();
    const box = liveBox();
    for (let i = 0; i < 3; i += 1) box.event(house.happen());
    expect(box.takeEventsAfter(1)?.map(({ recordSeq }) => recordSeq)).toEqual([2, 3]);
    expect(box.takeEventsAfter(3)).toEqual([]);
    for (let i = 0; i <= heldEventsMax; i += 1) box.event(house.happen());
    expect([box.takeEventsAfter(3), box.newestSeq()]).toEqual([null, heldEventsMax + 4]);
  });

  test('gives the newest value of each probe and watch once', () => {
    const box = liveBox();
    box.value({ kind: 'probe', value: jar });
    box.value({ kind: 'watch', value: chill });
    box.value({ kind: 'probe', value: { ...jar, state: 'silent' } });
    expect([box.takeValue(), box.takeValue(), box.takeValue()]).toEqual([
      { kind: 'probe', value: { ...jar, state: 'silent' } },
      { kind: 'watch', value: chill },
      undefined,
    ]);
  });
});
