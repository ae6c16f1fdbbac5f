import { connect } from 'node:net';
import { describe, expect, test } from 'vitest';
import { openHttp } from '../../../daemon/http/server.ts';
import { readFeed } from './feed-reader.ts';
import { dawnMs, houseInMemory, listening, optionsFor } from './house-in-memory.ts';

/** Sends raw text to a server and resolves with all that came back once it hung up. */
function sendRaw(url: string, text: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(Number(new URL(url).port), '127.0.0.1', () => socket.write(text));
    let answer = '';
    socket.setEncoding('utf8').on('data', (chunk: string) => {
      answer += chunk;
    });
    socket.on('close', () => resolve(answer)).on('error', reject);
  });
}

describe('the server', () => {
  test('serves on loopback at the address that it gives', async () => {
    const { desk } = houseInMemory();
    const { url } = await listening(desk);
    expect(url).toMatch(/^http:\/\/127\.0\.0\.1:\d+$/);
    expect(await (await fetch(`${url}/api/house`)).json()).toEqual(desk.house());
    const byName = await fetch(`${url.replace('127.0.0.1', 'localhost')}/api/house`);
    expect(byName.status).toBe(200);
  });

  test('turns away a name that was pointed at this machine', async () => {
    const { url } = await listening(houseInMemory().desk);
    const answer = await sendRaw(
      url,
      `GET /api/house HTTP/1.1\r\nHost: larkfell.example:${new URL(url).port}\r\nConnection: close\r\n\r\n`,
    );
    expect(answer).toContain('HTTP/1.1 421');
    expect(answer).toContain('"code":"HTTP_HOST"');
  });

  test.each([
    ['no HTTP', 'springhouse\r\n\r\n'],
    ['a head that is too large', `GET / HTTP/1.1\r\nHost: localhost\r\nX: ${'x'.repeat(9_000)}\r\n\r\n`],
    [
      'two lengths',
      'POST /api/words HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n',
    ],
  ])('answers %s with a problem and hangs up', async (_what, text) => {
    const { url } = await listening(houseInMemory().desk);
    const answer = await sendRaw(url, text);
    const [head, body] = answer.split('\r\n\r\n');
    expect(head).toContain('HTTP/1.1 400 Bad Request');
    expect(JSON.parse(body ?? '')).toEqual({
      v: 1,
      code: 'HTTP_MALFORMED',
      message:
        'A request must be HTTP/1.1 with a head of at most 8192 bytes, got something else. Send it again.',
    });
  });

  test('closes within a second with feeds open, read or not', async () => {
    const house = houseInMemory();
    const server = await openHttp(optionsFor(house.desk));
    const read = await readFeed(`${server.url}/api/live`);
    const unread = await readFeed(`${server.url}/api/live?after=0`, { isReading: false });
    for (let i = 0; i < 3_000; i += 1) house.happen(6_000);
    await read.until(() => read.seqs().length === 3_000);
    const fromMs = performance.now();
    await server.close();
    expect(performance.now() - fromMs).toBeLessThan(1_000);
    await expect.poll(() => house.listening()).toBe(0);
    await read.until(read.isEnded);
    unread.leave();
    await expect(fetch(`${server.url}/api/house`)).rejects.toThrow();
  });

  test('lets a word under way end before it closes', async () => {
    const { desk } = houseInMemory();
    const kept = Promise.withResolvers<void>();
    const asked = Promise.withResolvers<void>();
    const server = await openHttp(
      optionsFor({
        ...desk,
        async say() {
          asked.resolve();
          await kept.promise;
          return { v: 1, inputSeq: 7, already: false };
        },
      }),
    );
    const body = { v: 1, id: 'tap-00000001', word: { kind: 'milking-ended', probe: 'jar', atMs: dawnMs } };
    const answer = fetch(`${server.url}/api/words`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    await asked.promise;
    const closed = server.close();
    kept.resolve();
    expect(await (await answer).json()).toEqual({ v: 1, inputSeq: 7, already: false });
    await closed;
  });

  test('cuts a request that does not end, and still closes within a second', async () => {
    const { desk } = houseInMemory();
    const asked = Promise.withResolvers<void>();
    const never = {
      ...desk,
      say: () => {
        asked.resolve();
        return new Promise<never>(() => {});
      },
    };
    const server = await openHttp(optionsFor(never));
    const answer = fetch(`${server.url}/api/words`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({
        v: 1,
        id: 'tap-00000001',
        word: { kind: 'moved', probe: 'jar', place: 'chest' },
      }),
    });
    answer.catch(() => {});
    await asked.promise;
    const fromMs = performance.now();
    await server.close();
    expect(performance.now() - fromMs).toBeLessThan(1_000);
    await expect(answer).rejects.toThrow();
  });

  test('refuses an address that is not of this machine alone, and a port that is taken', async () => {
    const { desk } = houseInMemory();
    await expect(openHttp(optionsFor(desk, { host: '0.0.0.0' }))).rejects.toThrow(
      'HTTP_LISTEN: the host must be 127.0.0.1, ::1 or localhost, got 0.0.0.0. Choose one of these.',
    );
    const { url } = await listening(desk);
    await expect(openHttp(optionsFor(desk, { port: Number(new URL(url).port) }))).rejects.toThrow(
      /^HTTP_LISTEN: port \d+ of 127\.0\.0\.1 must be free, got .*EADDRINUSE/,
    );
  });
});
