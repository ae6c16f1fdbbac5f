import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { gunzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { openInfluxServer } from '../../../daemon/mirror/influx-server.ts';

const points = [
  { probe: 'jar 1', place: 'ice,tub', atMs: 1_780_000_000_123, tempC: 4.5 },
  { probe: 'larder', place: null, atMs: 1_780_000_001_000, tempC: -18 },
];
const token = 'a-secret-of-the-house';

describe('a server with the InfluxDB v2 write API', () => {
  let server: Server;
  let answer: { status: number; headers?: Record<string, string>; body?: string };
  let asked: { url: string; authorization: string; body: string }[];

  beforeEach(async () => {
    asked = [];
    answer = { status: 204 };
    server = createServer((request, response) => {
      const chunks: Buffer[] = [];
      request.on('data', (chunk: Buffer) => chunks.push(chunk));
      request.on('end', () => {
        const bytes = Buffer.concat(chunks);
        const body = (request.headers['content-encoding'] === 'gzip' ? gunzipSync(bytes) : bytes).toString();
        asked.push({ url: request.url ?? '', authorization: request.headers.authorization ?? '', body });
        response.writeHead(answer.status, answer.headers).end(answer.body);
      });
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  });

  afterEach(async () => {
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
  });

  const open = (port = (server.address() as AddressInfo).port) =>
    openInfluxServer({
      url: `http://127.0.0.1:${port}/base`,
      org: 'a dairy',
      bucket: 'milk',
      token,
      ca: null,
      house: 'larkfell-7q2m',
    });

  it('is asked as POST /api/v2/write describes, in line protocol with escaped tags and ms', async () => {
    const mirror = open();
    expect(await mirror.write(points)).toEqual({ is: 'taken' });
    mirror.close();
    // docs.influxdata.com/influxdb/v2/reference/syntax/line-protocol: commas and spaces in tag values are escaped.
    expect(asked).toEqual([
      {
        url: '/base/api/v2/write?org=a%20dairy&bucket=milk&precision=ms',
        authorization: `Token ${token}`,
        body: [
          'temperature,house=larkfell-7q2m,place=ice\\,tub,probe=jar\\ 1 celsius=4.5 1780000000123',
          'temperature,house=larkfell-7q2m,probe=larder celsius=-18 1780000001000',
        ].join('\n'),
      },
    ]);
  });

  it.each([
    [204, {}, { is: 'taken' }],
    [400, {}, { is: 'refused' }],
    [422, {}, { is: 'refused' }],
    [401, {}, { is: 'denied' }],
    [403, {}, { is: 'denied' }],
    [404, {}, { is: 'denied' }],
    [413, {}, { is: 'too-large' }],
    [429, { 'retry-after': '7' }, { is: 'away', againMs: 7_000 }],
    [500, {}, { is: 'away', againMs: null }],
    [503, {}, { is: 'away', againMs: null }],
  ])('means by status %i with %j what the API says', async (status, headers, outcome) => {
    answer = { status, headers };
    const mirror = open();
    expect(await mirror.write(points)).toMatchObject(outcome);
    mirror.close();
    expect(asked).toHaveLength(1);
  });

  it('says why in words without the token, though the server repeats it, and logs nothing itself', async () => {
    const said = vi.spyOn(console, 'error').mockImplementation(() => {});
    answer = {
      status: 401,
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ code: 'unauthorized', message: `no such token: ${token}` }),
    };
    const mirror = open();
    expect(await mirror.write(points)).toEqual({ is: 'denied', why: '401 no such token: (token)' });
    mirror.close();
    expect(said).not.toHaveBeenCalled();
    said.mockRestore();
  });

  it('is away where nobody listens', async () => {
    const { port } = server.address() as AddressInfo;
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    const mirror = open(port);
    expect(await mirror.write(points)).toMatchObject({
      is: 'away',
      why: expect.stringContaining('ECONNREFUSED'),
    });
    mirror.close();
    server.listen(0);
  });
});
