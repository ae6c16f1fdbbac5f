/** A server with the InfluxDB v2 write API, through its own client: one request a batch, no retries of its own. */
import http from 'node:http';
import https from 'node:https';
import { HttpError, InfluxDB, Point } from '@influxdata/influxdb-client';
import type { MirrorPoint, MirrorServer, WriteOutcome } from './mirror-server.ts';

export type InfluxSettings = {
  /** Where the server is, without user or password in it. */
  url: string;
  org: string;
  bucket: string;
  /** Null where the server asks for none. */
  token: string | null;
  /** The certificate of an own authority in PEM; null for the public ones. */
  ca: string | null;
  /** The house's id, a tag of every point. */
  house: string;
};

/** How long the server may take to answer; then the batch counts as not taken. */
const answerMsMax = 30_000;

/** More than any batch of ours, so that the client never sends a part of one by itself. */
const wholeBatch = { batchSize: 1_000_000, maxBatchBytes: 1_000_000_000 };

/** The longest reason that is passed on, in characters; the rest of it is cut. */
const whyMax = 200;

/** Opens the way to the server; nothing is sent before the first write. */
export function openInfluxServer(settings: InfluxSettings): MirrorServer {
  const { url, org, bucket, token, ca, house } = settings;
  const connection = { keepAlive: true, maxSockets: 1 };
  const agent = url.startsWith('https:')
    ? new https.Agent({ ...connection, ...(ca === null ? {} : { ca }) })
    : new http.Agent(connection);
  const client = new InfluxDB({
    url,
    timeout: answerMsMax,
    transportOptions: { agent },
    ...(token === null ? {} : { token }),
  });
  return {
    write: async (points) => {
      const api = client.getWriteApi(org, bucket, 'ms', {
        ...wholeBatch,
        flushInterval: 0,
        maxRetries: 0,
        // A rejection of our own keeps the client from logging the failure itself.
        writeFailed: (error) => Promise.reject(error),
      });
      api.writePoints(points.map((point) => pointOf(point, house)));
      try {
        await api.flush();
        return { is: 'taken' };
      } catch (error) {
        return outcomeOf(error, token);
      } finally {
        api.dispose();
      }
    },
    close: () => agent.destroy(),
  };
}

function pointOf({ probe, place, atMs, tempC }: MirrorPoint, house: string): Point {
  const point = new Point('temperature').tag('house', house).tag('probe', probe);
  if (place !== null) point.tag('place', place);
  return point.floatField('celsius', tempC).timestamp(atMs);
}

/** Meanings of the status as the InfluxDB v2 API gives them (docs.influxdata.com, POST /api/v2/write). */
function outcomeOf(error: unknown, token: string | null): WriteOutcome {
  const why = reasonOf(error, token);
  if (!(error instanceof HttpError)) return { is: 'away', why, againMs: null };
  const status = error.statusCode;
  if (status === 413) return { is: 'too-large' };
  if (status === 401 || status === 403 || status === 404) return { is: 'denied', why };
  if (status === 400 || status === 422) return { is: 'refused', why };
  return { is: 'away', why, againMs: retryAfterMs(error.headers?.['retry-after']) };
}

/** Seconds, as RFC 9110 §10.2.3 has them; the client's own reading takes them for milliseconds. */
function retryAfterMs(header: string | string[] | undefined): number | null {
  return typeof header === 'string' && /^\d{1,6}$/.test(header) ? Number(header) * 1_000 : null;
}

function reasonOf(error: unknown, token: string | null): string {
  const status = error instanceof HttpError ? `${error.statusCode} ` : '';
  const text = error instanceof Error ? error.message : String(error);
  const code = (error as { code?: unknown } | null)?.code;
  const said = text === '' && typeof code === 'string' ? code : text;
  const safe = token === null ? said : said.replaceAll(token, '(token)');
  return `${status}${safe.replace(/\s+/g, ' ')}`.slice(0, whyMax);
}
