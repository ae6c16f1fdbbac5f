/** Holes to plant before a house: each a door of its own that lets through what the house would not. */
import { createServer, type IncomingMessage, request } from 'node:http';
import { type AddressInfo, createServer as createRawServer, type Server } from 'node:net';
import { createEmbeddedBroker } from '../../../daemon/broker/embedded-broker.ts';
import { ownerSocketOf } from '../../../daemon/open-doors.ts';
import { type Answer, freshAddress, freshCode, goodPassword, pairedPerson, type Target } from './target.ts';

/** One hole: the family of attacks that must find it. */
export type Hole = {
  family: string;
  open(target: Target): Promise<{ target: Target; close(): Promise<void> }>;
};

type Passing = {
  path: string;
  headers: Record<string, string>;
  body: string;
  from: string;
  socketPath?: string;
};

/** Changes what passes, or answers itself. */
type Leak = (passing: Passing, target: Target) => Promise<Passing | Answer> | Passing | Answer;

const plain = (status: number, text: string, type = 'application/json'): Answer => ({
  status,
  headers: { 'content-type': type },
  text,
});

function leaky(family: string, leak: Leak, after: (answer: Answer) => Answer = (answer) => answer): Hole {
  return {
    family,
    open: (target) =>
      listenFor(target, (own) =>
        createServer({ maxHeaderSize: 200_000 }, async (message, response) => {
          const sent = await passingOf(message, own(), target);
          const changed = await leak(sent, target);
          const { status, headers, text } = after(
            'status' in changed ? changed : await pass(target, message, changed),
          );
          if (status === 0) return void response.destroy();
          response.writeHead(status, headers as Record<string, string>).end(text);
        }),
      ),
  };
}

const holes: Hole[] = [
  leaky('auth', async (passing, target) =>
    passing.headers.cookie?.length === undefined
      ? { ...passing, headers: { ...passing.headers, cookie: await keptCookie(target) } }
      : passing,
  ),
  leaky('owner', (passing, target) =>
    passing.path.startsWith('/owner/')
      ? {
          ...passing,
          headers: { ...passing.headers, host: 'localhost' },
          socketPath: ownerSocketOf(target.dataDir),
        }
      : passing,
  ),
  leaky('path', (passing) =>
    passing.path.includes('passwd') ? plain(200, 'root:x:0:0', 'text/plain') : passing,
  ),
  leaky('size', (passing) => (passing.body.length > 100_000 ? plain(200, '{}') : passing)),
  leaky('rebinding', (passing, target) => ({
    ...passing,
    headers: { ...passing.headers, host: new URL(target.page).host },
  })),
  leaky('origin', ({ headers: { origin: _origin, 'sec-fetch-site': _site, ...headers }, ...passing }) => ({
    ...passing,
    headers,
  })),
  leaky('injection', (passing) =>
    passing.path.startsWith('/api/history/')
      ? plain(404, decodeURIComponent(passing.path), 'text/html')
      : passing,
  ),
  leaky('flood', (passing) => ({ ...passing, from: freshAddress() })),
  leaky(
    'session',
    (passing) => passing,
    (answer) => ({ ...answer, headers: withCookie(answer.headers, (set) => set.replace('; HttpOnly', '')) }),
  ),
  leaky('replay', async (passing, target) =>
    passing.path === '/api/door/pair' && passing.body.includes('twice-')
      ? { ...passing, body: JSON.stringify({ ...JSON.parse(passing.body), code: await freshCode(target) }) }
      : passing,
  ),
  leaky('guess', (passing) =>
    passing.path === '/api/door/sign-in' && passing.body.includes(goodPassword) ? plain(200, '{}') : passing,
  ),
  {
    family: 'smuggling',
    open: (target) =>
      listenFor(target, () =>
        createRawServer((socket) => {
          socket.on('error', () => {});
          // It reads by one length and passes the rest on as a request of its own.
          socket.once('data', () =>
            socket.end(
              'HTTP/1.1 400 Bad Request\r\ncontent-length: 0\r\n\r\nHTTP/1.1 200 OK\r\ncontent-length: 0\r\n\r\n',
            ),
          );
        }),
      ),
  },
];

/** The holes for a target, and for the broker a line that adds the key of every probe to whoever comes. */
export function holesOf({ jarKey }: Target): Hole[] {
  return [...holes, { family: 'topics', open: (target) => openUnguarded(target, jarKey) }];
}

/** A broker of the house's own kind that takes one key for every probe. */
async function openUnguarded(target: Target, jarKey: string) {
  const broker = createEmbeddedBroker({
    id: 'unguarded',
    house: target.house,
    host: '127.0.0.1',
    port: 0,
    keys: { fits: (_probe, password) => password === jarKey, onChanged: () => {} },
  });
  await broker.open({ take: async () => {}, tell: () => {} });
  const door = await broker.openNetwork({ address: '127.0.0.3', port: 0, tls: null, mayConnect: () => true });
  return {
    target: { ...target, broker: door.url },
    close: async () => {
      await door.close();
      await broker.close();
    },
  };
}

const cookies = new Map<string, Promise<string>>();

function keptCookie(target: Target): Promise<string> {
  const kept = cookies.get(target.page) ?? pairedPerson(target).then(({ cookie }) => cookie);
  cookies.set(target.page, kept);
  return kept;
}

function withCookie(headers: Answer['headers'], change: (set: string) => string): Answer['headers'] {
  const set = headers['set-cookie'];
  return set === undefined ? headers : { ...headers, 'set-cookie': [set].flat().map(change) };
}

async function listenFor(target: Target, make: (own: () => string) => Server) {
  let own = '';
  const server = make(() => own);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.3', resolve));
  own = `127.0.0.3:${(server.address() as AddressInfo).port}`;
  return {
    target: { ...target, page: `http://${own}` },
    close: async () => {
      (server as { closeAllConnections?: () => void }).closeAllConnections?.();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}

/** What came, as the house must see it: under its own name where it came under the hole's. */
async function passingOf(message: IncomingMessage, own: string, target: Target): Promise<Passing> {
  const chunks: Buffer[] = [];
  for await (const chunk of message) chunks.push(chunk as Buffer);
  const host = message.headers.host === own ? new URL(target.page).host : (message.headers.host ?? '');
  const kept = Object.entries(message.headers).filter(
    ([name]) => !['content-length', 'transfer-encoding', 'connection', 'host'].includes(name),
  );
  return {
    path: message.url ?? '/',
    headers: { ...(Object.fromEntries(kept) as Record<string, string>), host },
    body: Buffer.concat(chunks).toString(),
    from: message.socket.remoteAddress ?? '',
  };
}

function pass(
  target: Target,
  { method = 'GET' }: IncomingMessage,
  { path, headers, body, from, socketPath }: Passing,
): Promise<Answer> {
  const { hostname, port } = new URL(target.page);
  const where = socketPath === undefined ? { host: hostname, port, localAddress: from } : { socketPath };
  return new Promise((resolve) => {
    const lost = () => resolve({ status: 0, headers: {}, text: '' });
    const length = body === '' ? {} : { 'content-length': String(Buffer.byteLength(body)) };
    // Connections that are kept would fill the house's door with those of the flood.
    const sent = request(
      { ...where, agent: false, path, method, headers: { ...headers, ...length } },
      (answer) => {
        let text = '';
        answer.on('data', (chunk: Buffer) => {
          text += chunk;
        });
        answer.on('error', lost);
        answer.on('end', () => resolve({ status: answer.statusCode ?? 0, headers: answer.headers, text }));
      },
    );
    sent.on('error', lost);
    sent.end(body === '' ? undefined : body);
  });
}
