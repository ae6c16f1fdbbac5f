/** A real receiver of webhooks on loopback that checks signatures, and that can fail and come back. */
import { createHmac, timingSafeEqual } from 'node:crypto';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Letter } from '../../shared/contract/notify.ts';

export type Call = {
  atMs: number;
  headers: Record<string, string | string[] | undefined>;
  body: string;
  event: { id: string; source: string; type: string; specversion: string; data: Letter };
  /** Whether the signature is the one of the secret. */
  signed: boolean;
};

export type WebhookReceiver = {
  url: string;
  port: number;
  /** Calls that were answered with 2xx. */
  calls: Call[];
  /** Calls that were answered otherwise. */
  refused: Call[];
  /** The status of the next answers; 204 unless set. */
  answer(status: number): void;
  /** Answers nothing until the next `answer`. */
  hang(): void;
  /** Stops listening; `up` listens again on the same port. */
  down(): Promise<void>;
  up(): Promise<void>;
  close(): Promise<void>;
};

/** Opens a receiver whose key is the bytes of `secret`. */
export async function openWebhookReceiver(secret: string): Promise<WebhookReceiver> {
  const calls: Call[] = [];
  const refused: Call[] = [];
  let status = 204;
  let hangs = false;
  let port = 0;
  let server: Server | null = null;

  async function up(): Promise<void> {
    const opened = createServer((request, response) => {
      let body = '';
      request.setEncoding('utf8');
      request.on('data', (chunk: string) => {
        body += chunk;
      });
      request.on('end', () => {
        const { headers } = request;
        const call = {
          atMs: Date.now(),
          headers,
          body,
          event: JSON.parse(body),
          signed: isSigned(headers, body, secret),
        };
        if (hangs) return;
        (status < 300 ? calls : refused).push(call);
        response.writeHead(status).end();
      });
    });
    await new Promise<void>((resolve) => opened.listen(port, '127.0.0.1', resolve));
    port = (opened.address() as AddressInfo).port;
    server = opened;
  }

  async function down(): Promise<void> {
    const closing = server;
    server = null;
    if (closing === null) return;
    closing.closeAllConnections();
    await new Promise((resolve) => closing.close(resolve));
  }

  await up();
  return {
    url: `http://127.0.0.1:${port}/letters`,
    port,
    calls,
    refused,
    answer: (next) => {
      hangs = false;
      status = next;
    },
    hang: () => {
      hangs = true;
    },
    up,
    down,
    close: down,
  };
}

/** Checks as a receiver does: Standard Webhooks 1.0.0, "Verifying signatures". */
function isSigned(headers: Record<string, unknown>, body: string, secret: string): boolean {
  const signature = String(headers['webhook-signature'] ?? '');
  const content = `${headers['webhook-id']}.${headers['webhook-timestamp']}.${body}`;
  const wanted = Buffer.from(`v1,${createHmac('sha256', secret).update(content).digest('base64')}`);
  const got = Buffer.from(signature);
  return wanted.length === got.length && timingSafeEqual(wanted, got);
}
