import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { problem } from '../../shared/contract/api.ts';
import {
  type LetterLine,
  lettersView,
  type MattersView,
  mattersView,
  type WaysView,
  type WayTested,
  waysView,
  wayTested,
} from '../../shared/contract/notify.ts';
import { refuse, shown } from './problems.ts';
import { noticesQuery } from './queries.ts';

/** What the house can be asked and told of how it speaks up; `compose.ts` supplies it. */
export type NotifyDesk = {
  ways(): Promise<WaysView>;
  /** Sends a test by a way and says what came of it; null where there is no such way. */
  testWay(id: string): Promise<WayTested | null>;
  /** The matters that stand open, the heaviest first. */
  matters(): Promise<MattersView>;
  /** Lines of the notices' journal, newest first; with `beforeSeq` those before it. */
  letters(ask: { limit: number; beforeSeq?: number }): Promise<LetterLine[]>;
  /** A page has sounded for a letter; false where nobody waited for that. */
  heard(letterId: string): boolean;
};

const heardLetter = z.strictObject({ v: z.literal(1), id: z.string().min(1).max(400) });
const heardAnswer = z.object({ v: z.literal(1), taken: z.boolean() });
const empty = z.strictObject({ v: z.literal(1) });

/** Adds what the house says and by which ways: ways, tests, open matters, the journal. */
export function addNotifyRoutes(plain: FastifyInstance, desk: NotifyDesk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/ways',
    {
      schema: {
        operationId: 'ways',
        summary: 'How the house speaks up, and whether each way has proved itself',
        response: { 200: waysView },
      },
    },
    async () => desk.ways(),
  );

  app.post(
    '/api/ways/:id/test',
    {
      schema: {
        operationId: 'testWay',
        summary: 'Send a test by a way, and say whether it arrived',
        params: z.object({ id: z.string() }),
        body: empty,
        response: { 200: wayTested, 400: problem, 404: problem, 413: problem, 415: problem },
      },
    },
    async (request, reply) => {
      const { id } = request.params;
      const tested = await desk.testWay(id);
      if (tested !== null) return tested;
      const message = `The way ${shown(id)} must be one of this house, got none of that id. Look at /api/ways.`;
      return refuse(reply, { code: 'WAY_UNKNOWN', message });
    },
  );

  app.get(
    '/api/matters',
    {
      schema: {
        operationId: 'matters',
        summary: 'What stands open, who has seen it, and when to be reminded at the latest',
        response: { 200: mattersView },
      },
    },
    async () => desk.matters(),
  );

  app.get(
    '/api/letters',
    {
      schema: {
        operationId: 'letters',
        summary: 'The journal: what went to whom by which way, newest first',
        querystring: noticesQuery.pick({ limit: true, before: true }),
        response: { 200: lettersView, 400: problem },
      },
    },
    async ({ query }) => {
      const before = query.before === undefined ? {} : { beforeSeq: query.before };
      return { v: 1 as const, letters: await desk.letters({ limit: query.limit, ...before }) };
    },
  );

  app.post(
    '/api/letters/heard',
    {
      schema: {
        operationId: 'heardLetter',
        summary: 'Said by a page that has sounded for a letter',
        body: heardLetter,
        response: { 200: heardAnswer, 400: problem, 413: problem, 415: problem },
      },
    },
    async ({ body }) => ({ v: 1 as const, taken: desk.heard(body.id) }),
  );
}
