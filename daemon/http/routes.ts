import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import {
  anyWatchView,
  health,
  historyView,
  houseView,
  noticesView,
  probesView,
  problem,
  recordPage,
  watchesView,
} from '../../shared/contract/api.ts';
import { planView } from '../../shared/contract/plan.ts';
import { postedWord, wordAnswer } from '../../shared/contract/word.ts';
import type { HouseDesk, WordFault } from './desk.ts';
import { housePerson, whoOf } from './door.ts';
import { exactSerializer } from './exact-serializer.ts';
import { refuse, shown } from './problems.ts';
import { askedSpan, historyQuery, noticesQuery, planQuery, recordQuery, spanFault } from './queries.ts';

const wordStatus = { unknown: 404, refused: 422, unavailable: 503 } as const;

/** Adds the resources of the house that are read and answered at once. */
export function addHouseRoutes(plain: FastifyInstance, desk: HouseDesk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/house',
    { schema: { operationId: 'house', summary: 'The house itself', response: { 200: houseView } } },
    async () => desk.house(),
  );

  app.get(
    '/api/probes',
    { schema: { operationId: 'probes', summary: 'All probes', response: { 200: probesView } } },
    async () => ({ v: 1 as const, probes: desk.probes(), refusals: desk.refusals() }),
  );

  app.get(
    '/api/watches',
    {
      schema: {
        operationId: 'watches',
        summary: 'Open and lately ended watches',
        response: { 200: watchesView },
      },
    },
    async () => ({ v: 1 as const, watches: desk.watches() }),
  );

  app.get(
    '/api/watches/:id',
    {
      schema: {
        operationId: 'watch',
        summary: 'One watch',
        params: z.object({ id: z.string() }),
        response: { 200: anyWatchView, 404: problem },
      },
    },
    async (request, reply) => {
      const { id } = request.params;
      const found = desk.watches().find((watch) => watch.id === id);
      return (
        found ?? refuse(reply, { code: 'WATCH_UNKNOWN', message: unknownSentence('watch', id, 'watches') })
      );
    },
  );

  app.get(
    '/api/plan',
    {
      schema: {
        operationId: 'plan',
        summary: 'Before milking: how long this milk would take in each place, and which would make the rule',
        querystring: planQuery,
        response: { 200: planView, 400: problem },
      },
    },
    async ({ query: { from, material = null, volume } }) =>
      desk.plan({ volumeL: volume, material, fromC: from }),
  );

  app.get(
    '/health',
    {
      schema: {
        operationId: 'health',
        summary: 'Whether readings can be kept: 200 while they can, 503 while not',
        response: { 200: health, 503: health },
      },
    },
    async (_request, reply) => {
      const view = desk.health();
      return reply.code(view.ok ? 200 : 503).send(view);
    },
  );
}

/** Adds the resources that a worker answers from the disk. */
export function addPastRoutes(plain: FastifyInstance, desk: HouseDesk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/history/:probe',
    {
      schema: {
        operationId: 'history',
        summary: "A probe's curve in equal spans",
        params: z.object({ probe: z.string() }),
        querystring: historyQuery,
        response: { 200: historyView, 400: problem, 404: problem },
      },
    },
    async (request, reply) => {
      const { probe } = request.params;
      if (!desk.probes().some(({ id }) => id === probe)) {
        return refuse(reply, { code: 'PROBE_UNKNOWN', message: unknownSentence('probe', probe, 'probes') });
      }
      const span = askedSpan(request.query, desk.house().nowMs);
      if (typeof span === 'string') {
        return refuse(reply, {
          code: 'HTTP_QUERY',
          message: `The parameter "from" must be ${span}, got ${shown(request.query.from)}. Ask for a span that fits.`,
        });
      }
      const { points, snap } = request.query;
      return { v: 1 as const, probe, ...span, ...(await desk.history({ probe, ...span, points, snap })) };
    },
  );

  app.get(
    '/api/notices',
    {
      schema: {
        operationId: 'notices',
        summary: 'What was said to people, newest first; with "from" or "to" what was said in that span',
        querystring: noticesQuery,
        response: { 200: noticesView, 400: problem },
      },
    },
    async ({ query }, reply) => {
      if (query.from !== undefined || query.to !== undefined) {
        const span = { fromMs: query.from ?? 0, toMs: query.to ?? desk.house().nowMs };
        const fault = spanFault(span);
        if (fault !== null) return refuse(reply, fault);
        return { v: 1 as const, notices: await desk.noticesBetween({ ...span, limit: query.limit }) };
      }
      const before = query.before === undefined ? {} : { beforeSeq: query.before };
      return { v: 1 as const, notices: await desk.notices({ limit: query.limit, ...before }) };
    },
  );

  app.get(
    '/api/record',
    {
      serializerCompiler: exactSerializer as never,
      schema: {
        operationId: 'record',
        summary: 'Events of the record, in order and exactly as kept, so that their chain can be checked',
        querystring: recordQuery,
        response: { 200: recordPage, 400: problem },
      },
    },
    async ({ query }) => {
      const events = await desk.events({ afterSeq: query.after, limit: query.limit });
      return { v: 1 as const, recordSeq: desk.house().recordSeq, events };
    },
  );
}

/** Adds the one resource by which a person says something to the house. */
export function addWordRoute(plain: FastifyInstance, desk: HouseDesk): void {
  plain.withTypeProvider<ZodTypeProvider>().post(
    '/api/words',
    {
      schema: {
        operationId: 'say',
        summary: 'Say a word to the house; the same id again does nothing',
        body: postedWord,
        response: {
          200: wordAnswer,
          400: problem,
          404: problem,
          413: problem,
          415: problem,
          422: problem,
          503: problem,
        },
      },
    },
    async (request, reply) => {
      const answer = await desk.say(request.body, whoOf(request)?.person ?? housePerson);
      return 'reason' in answer ? refuseWord(reply, answer) : answer;
    },
  );
}

function refuseWord(reply: FastifyReply, { reason, code, message }: WordFault) {
  if (reason === 'unavailable') reply.header('retry-after', '2');
  return reply.code(wordStatus[reason]).send({ v: 1, code, message });
}

function unknownSentence(what: string, id: string, list: string): string {
  return `The ${what} ${shown(id)} must be one of this house, got none of that id. Look at /api/${list}.`;
}
