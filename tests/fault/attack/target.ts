/** What the attacks know of a house, and the means of a stranger in its network. */
import { randomBytes } from 'node:crypto';
import { request } from 'node:http';
import { connect } from 'node:net';
import { askOwner } from '../../../daemon/ask-owner.ts';
import type { PairingView } from '../../../shared/contract/door.ts';

/** An opened house, or one with a hole in front of it. */
export type Target = {
  /** Where the page is asked: `http://address:port`. */
  page: string;
  broker: string;
  house: string;
  dataDir: string;
  /** The key of the probe `jar`; there is another probe `pot`. */
  jarKey: string;
};

export type Answer = { status: number; headers: NodeJS.Dict<string | string[]>; text: string };

/** One attack; resolves with what it got away with, or null. */
export type Attack = { family: string; name: string; run(target: Target): Promise<string | null> };

export const goodPassword = 'larch-kettle-moss';

let addresses = 0;

/** Another address of the network that nobody asked from before. */
export function freshAddress(): string {
  addresses += 1;
  return `127.9.${addresses >> 8}.${addresses & 255}`;
}

export type Asked = {
  path: string;
  method?: string;
  headers?: Record<string, string>;
  body?: string | object;
  from?: string;
};

/** Asks as any program may; an answer that is cut off has status 0. */
export function ask(target: Pick<Target, 'page'>, asked: Asked): Promise<Answer> {
  const { hostname, port } = new URL(target.page);
  const { path, headers = {}, body, from = freshAddress() } = asked;
  const text = body === undefined || typeof body === 'string' ? body : JSON.stringify(body);
  const json: Record<string, string> = text === undefined ? {} : { 'content-type': 'application/json' };
  return new Promise((resolve) => {
    const lost = () => resolve({ status: 0, headers: {}, text: '' });
    const method = asked.method ?? (text === undefined ? 'GET' : 'POST');
    const sent = request(
      {
        host: hostname,
        port,
        path,
        method,
        headers: { ...json, ...headers },
        localAddress: from,
        agent: false,
        timeout: 8_000,
      },
      (answer) => {
        let read = '';
        answer.on('data', (chunk: Buffer) => {
          read += chunk;
        });
        answer.on('error', lost);
        answer.on('end', () =>
          resolve({ status: answer.statusCode ?? 0, headers: answer.headers, text: read }),
        );
      },
    );
    sent.on('timeout', () => sent.destroy());
    sent.on('error', lost);
    sent.end(text);
  });
}

/** Sends bytes as they are and resolves with all that comes back until the end, or for 1.5 s. */
export function sendRaw(target: Pick<Target, 'page'>, bytes: string, from = freshAddress()): Promise<string> {
  const { hostname, port } = new URL(target.page);
  return new Promise((resolve) => {
    let read = '';
    const socket = connect({ host: hostname, port: Number(port), localAddress: from });
    const end = () => {
      clearTimeout(timer);
      socket.destroy();
      resolve(read);
    };
    const timer = setTimeout(end, 1_500);
    socket.on('data', (chunk) => {
      read += chunk;
    });
    socket.on('error', end);
    socket.on('close', end);
    socket.write(bytes);
  });
}

/** The owner's own means: what an attacker has not, and a proof needs. */
export async function asOwner<T>(
  { dataDir }: Pick<Target, 'dataDir'>,
  path: string,
  body?: object,
): Promise<T> {
  const answered = await askOwner(dataDir, path, body);
  if (answered.is !== 'answer') throw new Error(`${path}: ${JSON.stringify(answered)}`);
  return answered.body as T;
}

export async function freshCode(target: Target): Promise<string> {
  return (await asOwner<PairingView>(target, '/owner/code', { person: null })).code;
}

/** Pairs somebody new through the page and returns the name, the whole Set-Cookie header and the cookie. */
export async function pairedPerson(target: Target): Promise<{ name: string; set: string; cookie: string }> {
  const name = `p${randomBytes(4).toString('hex')}`;
  const code = await freshCode(target);
  const body = { v: 1, code, name, password: goodPassword };
  const { headers, status, text } = await ask(target, { path: '/api/door/pair', body });
  const set = String(headers['set-cookie'] ?? '');
  if (status !== 200) throw new Error(`pairing answered ${status} ${text}`);
  return { name, set, cookie: set.split(';')[0] ?? '' };
}

/** Removes a person again, so that the house does not fill. */
export async function dismiss(target: Target, name: string): Promise<void> {
  await askOwner(target.dataDir, '/api/people/remove', { v: 1, person: name });
}
