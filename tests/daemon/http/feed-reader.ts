import type { IncomingMessage } from 'node:http';
import { get } from 'node:http';
import { expect, onTestFinished } from 'vitest';

/** One message of a feed as it came; `id` and `data` are empty strings where it had none. */
export type FeedMessage = { event: string; id: string; data: string; comment: string };

/** A client of the live feed over a real socket that keeps all it reads, and can stop reading. */
export type FeedReader = {
  status: number;
  messages: FeedMessage[];
  /** Resolves once `isSo` holds; fails the test after the deadline. */
  until(isSo: () => boolean): Promise<void>;
  /** The seqs of the record messages so far. */
  seqs(): number[];
  stopReading(): void;
  readOn(): void;
  /** True once the server has ended the feed. */
  isEnded(): boolean;
  leave(): void;
};

/** Opens a feed; with `isReading: false` it takes nothing from its socket until told to. */
export async function readFeed(
  url: string,
  { headers = {}, isReading = true }: { headers?: Record<string, string>; isReading?: boolean } = {},
): Promise<FeedReader> {
  const messages: FeedMessage[] = [];
  let isEnded = false;
  const response = await new Promise<IncomingMessage>((resolve, reject) => {
    get(url, { headers, agent: false }, resolve).on('error', reject);
  });
  const leave = () => {
    response.destroy();
  };
  onTestFinished(leave);
  response.setEncoding('utf8');
  response.on('error', () => {});
  response.on('close', () => {
    isEnded = true;
  });
  if (isReading) keepMessages(response, messages);
  return {
    status: response.statusCode ?? 0,
    messages,
    seqs: () => messages.filter(({ event }) => event === 'record').map(({ id }) => Number(id)),
    until: (isSo) => expect.poll(isSo, { timeout: 10_000, interval: 5 }).toBe(true),
    stopReading: () => response.pause(),
    readOn: () => (isReading ? response.resume() : keepMessages(response, messages)),
    isEnded: () => isEnded,
    leave,
  };
}

function keepMessages(response: IncomingMessage, messages: FeedMessage[]): void {
  let rest = '';
  response.on('data', (chunk: string) => {
    const parts = (rest + chunk).split('\n\n');
    rest = parts.pop() ?? '';
    messages.push(...parts.map(messageOf));
  });
}

function messageOf(text: string): FeedMessage {
  const lines = text.split('\n');
  const field = (name: string) =>
    lines.find((line) => line.startsWith(`${name}: `))?.slice(name.length + 2) ?? '';
  return { event: field('event'), id: field('id'), data: field('data'), comment: field('') };
}
