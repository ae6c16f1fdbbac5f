/** A stand-in for the daemon: serves a built page and canned answers, so that each state can be seen at will. */

import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join, normalize } from 'node:path';
import type { LiveValue } from '../../shared/contract/api.ts';
import type { PlanView } from '../../shared/contract/plan.ts';
import type { PostedWord } from '../../shared/contract/word.ts';
import { type Answers, answersOf, type StateName } from './fixture-states.ts';

export type FixtureHouse = {
  /** `http://127.0.0.1:<port>/` */
  readonly address: string;
  /** Every word that was posted, in order. */
  readonly words: readonly PostedWord[];
  /** Answers as this state from the next question on. */
  show(state: StateName): void;
  /** Sends a last value to every open feed; waits for the first one to open. */
  send(value: LiveValue): Promise<void>;
  /** Breaks every open feed and answers nothing more under api/, as a dead daemon does. */
  die(): void;
  /** Refuses the next words, so many of them. */
  refuse(count: number): void;
  /** Ends a death: answers again. */
  wake(): void;
  close(): Promise<void>;
};

const contentTypes: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
};

/** Opens the stand-in on a free port of the loopback; `page` is the folder of a built dashboard. */
export async function openFixtureHouse({
  page,
  state,
}: {
  page: string;
  state: StateName;
}): Promise<FixtureHouse> {
  let answers = answersOf(state);
  let dead = false;
  let refusals = 0;
  const words: PostedWord[] = [];
  const feeds = new Set<ServerResponse>();
  const anyFeed = Promise.withResolvers<void>();

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const url = new URL(request.url ?? '/', 'http://house');
    if (!url.pathname.startsWith('/api/')) return serveFile(page, url.pathname, response);
    if (dead) {
      request.socket.destroy();
      return;
    }
    if (url.pathname === '/api/live') return openFeed(response);
    if (url.pathname === '/api/words') return takeWord(request, response);
    // The sheet alone: what stands above it of ways and letters is tested on real houses.
    if (['/api/ways', '/api/matters'].includes(url.pathname)) {
      response.writeHead(204).end();
      return;
    }
    const found = listOf(answers, url);
    if (found === null) response.writeHead(404).end();
    else sendJson(response, found);
  }

  function openFeed(response: ServerResponse): void {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write('retry: 100\n\n');
    feeds.add(response);
    anyFeed.resolve();
    response.on('close', () => feeds.delete(response));
  }

  async function takeWord(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    if (request.headers['content-type'] !== 'application/json') {
      response.writeHead(415).end();
      return;
    }
    const posted = JSON.parse(Buffer.concat(chunks).toString()) as PostedWord;
    const already = words.some((word) => word.id === posted.id);
    words.push(posted);
    if (refusals > 0) {
      refusals -= 1;
      sendJson(response, { v: 1, code: 'HOUSE_FULL', message: 'The house is full.' }, 503);
      return;
    }
    sendJson(response, { v: 1, inputSeq: words.length, already });
  }

  const server = createServer((request, response) => {
    answer(request, response).catch((error: unknown) => response.destroy(error as Error));
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`,
    words,
    show(next) {
      answers = answersOf(next);
    },
    async send(value) {
      await anyFeed.promise;
      for (const feed of feeds) feed.write(`event: value\ndata: ${JSON.stringify({ v: 1, ...value })}\n\n`);
    },
    die() {
      dead = true;
      for (const feed of feeds) feed.destroy();
    },
    refuse(count) {
      refusals = count;
    },
    wake() {
      dead = false;
    },
    async close() {
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}

async function serveFile(page: string, pathname: string, response: ServerResponse): Promise<void> {
  const path = join(page, normalize(pathname === '/' ? '/index.html' : pathname));
  const content = await readFile(path).catch(() => null);
  if (content === null) {
    response.writeHead(404).end();
    return;
  }
  response.writeHead(200, {
    'content-type': contentTypes[extname(path)] ?? 'application/octet-stream',
    'content-security-policy': "default-src 'self'",
  });
  response.end(content);
}

function listOf(answers: Answers, url: URL): object | null {
  const number = (name: string) => Number(url.searchParams.get(name));
  switch (url.pathname) {
    case '/api/door':
      return { v: 1, open: false, signIn: false, secure: false, person: null };
    case '/api/house':
      return answers.house;
    case '/api/probes':
      return { v: 1, probes: answers.probes };
    case '/api/watches':
      return { v: 1, watches: answers.watches };
    case '/api/plan':
      return planOf(answers.house.places, number('volume'));
    case '/api/notices':
      return { v: 1, notices: answers.notices };
    default: {
      const probe = /^\/api\/history\/([^/]+)$/.exec(url.pathname)?.[1];
      if (probe === undefined) return null;
      return answers.historyOf(probe, {
        fromMs: number('from'),
        toMs: number('to'),
        points: number('points'),
      });
    }
  }
}

/** A plan as the daemon reckons it, with the first place known by six chills of the house. */
function planOf(places: Answers['house']['places'], volumeL: number): PlanView {
  const asked = { volumeL, material: null, fromC: 36, limitC: 40 / 9, marginC: 0.5, spanMin: 60 };
  const cold = places.filter(({ kind }) => kind !== 'pot' && kind !== 'warm-box');
  const minutes = (near: number) => ({ p10: near * 0.8, p50: near, p90: near < 300 ? near * 1.3 : null });
  const ways = cold.map(({ id }, at) => ({
    place: id,
    stirred: null,
    chills: at === 0 ? 6 : 0,
    minutes: minutes(45 + 60 * at),
    chance: Math.max(0, 0.86 - 0.5 * at),
  }));
  return { v: 1, asked, ways };
}

function sendJson(response: ServerResponse, body: object, status = 200): void {
  response.writeHead(status, { 'content-type': 'application/json' }).end(JSON.stringify(body));
}
