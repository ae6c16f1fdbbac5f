import { Readable } from 'node:stream';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { problem } from '../../shared/contract/api.ts';
import type { HouseDesk } from './desk.ts';
import { liveClientsMax } from './limits.ts';
import { liveFeed } from './live-feed.ts';
import { refuse } from './problems.ts';
import { liveQuery } from './queries.ts';

/** Where the live feed is. */
export const livePath = '/api/live';

export type LiveRouteOptions = {
  desk: HouseDesk;
  heartbeatMs: number;
  onBug(error: unknown): void;
  /** The session that a request belongs to; null for one without. */
  sessionOf(request: FastifyRequest): string | null;
};

/** What ends open feeds: all of them, so that a server can close, or those of a session that ended. */
export type OpenFeeds = { endAll(): void; endOf(session: string): void };

/** Adds the live feed. */
export function addLiveRoute(plain: FastifyInstance, options: LiveRouteOptions): OpenFeeds {
  const open = new Map<AbortController, string | null>();
  plain.withTypeProvider<ZodTypeProvider>().get(
    livePath,
    {
      exposeHeadRoute: false,
      schema: {
        operationId: 'live',
        summary:
          'Server-sent events: `record` with its seq as id, resumed by Last-Event-ID or `after`, and `value` with the newest view of a probe or watch',
        querystring: liveQuery,
        response: {
          200: {
            description: 'A feed that stays open; its data are events of the record and LiveValue messages',
            content: { 'text/event-stream': { schema: z.string() } },
          },
          400: problem,
          403: problem,
          503: problem,
        },
      },
    },
    (request, reply) => {
      if (open.size >= liveClientsMax) {
        reply.header('retry-after', '10');
        refuse(reply, {
          code: 'LIVE_FULL',
          message: `The live feed must have at most ${liveClientsMax} readers, got one more. Close a page and come again.`,
        });
        return;
      }
      const ending = new AbortController();
      open.set(ending, options.sessionOf(request));
      reply.raw.once('close', () => {
        ending.abort();
        open.delete(ending);
      });
      const afterSeq = resumeSeq(request.headers['last-event-id']) ?? request.query.after ?? null;
      const messages = quietly(options, { afterSeq, signal: ending.signal });
      reply.header('content-type', 'text/event-stream').send(Readable.from(messages) as never);
    },
  );
  return {
    endAll() {
      for (const ending of open.keys()) ending.abort();
    },
    endOf(session) {
      for (const [ending, each] of open) if (each === session) ending.abort();
    },
  };
}

/** Returns the seq of a Last-Event-ID; null where the header is missing or is none of ours. */
function resumeSeq(header: string | string[] | undefined): number | null {
  return typeof header === 'string' && /^\d{1,15}$/.test(header) ? Number(header) : null;
}

/** The feed, ended instead of broken where the house fails to answer: the client comes again and goes on. */
async function* quietly(
  { desk, heartbeatMs, onBug }: LiveRouteOptions,
  { afterSeq, signal }: { afterSeq: number | null; signal: AbortSignal },
) {
  try {
    yield* liveFeed({ desk, afterSeq, heartbeatMs, signal });
  } catch (error) {
    onBug(error);
  }
}
