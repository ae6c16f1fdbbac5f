import { Readable } from 'node:stream';
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { problem } from '../../shared/contract/api.ts';
import { exportFormName, keptSpan, lateView } from '../../shared/contract/export.ts';
import type { HouseDesk } from './desk.ts';
import { exportsMax } from './limits.ts';
import { refuse, shown } from './problems.ts';
import { exportQuery, spanFault } from './queries.ts';

const probeParams = z.object({ probe: z.string() });

/** Adds what a history holds of a probe from when to when, and its readings as a file. */
export function addExportRoutes(
  plain: FastifyInstance,
  desk: HouseDesk,
  onBug: (error: unknown) => void,
): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  let open = 0;

  app.get(
    '/api/history/:probe/kept',
    {
      schema: {
        operationId: 'kept',
        summary: 'The first and the last instant of which the history has a reading of a probe',
        params: probeParams,
        response: { 200: keptSpan, 404: problem },
      },
    },
    async ({ params: { probe } }, reply) => {
      if (!isKnown(desk, probe)) return refuse(reply, unknownProbe(probe));
      return { v: 1 as const, probe, ...(await desk.keptSpan(probe)) };
    },
  );

  app.get(
    '/api/history/:probe/late',
    {
      schema: {
        operationId: 'late',
        summary: 'Where readings of a span came late; null where the span holds too many to look through',
        params: probeParams,
        querystring: exportQuery.pick({ from: true, to: true }),
        response: { 200: lateView, 400: problem, 404: problem },
      },
    },
    async ({ params: { probe }, query }, reply) => {
      if (!isKnown(desk, probe)) return refuse(reply, unknownProbe(probe));
      const span = { fromMs: query.from ?? 0, toMs: query.to ?? desk.house().nowMs };
      const fault = spanFault(span);
      if (fault !== null) return refuse(reply, fault);
      return { v: 1 as const, probe, ...span, stretches: await desk.lateStretches({ probe, ...span }) };
    },
  );

  app.get(
    '/api/history/:probe/export',
    {
      exposeHeadRoute: false,
      schema: {
        operationId: 'export',
        summary: `Every reading of a probe over a span as a file, as read, in one of ${exportFormName.options.join(', ')}`,
        params: probeParams,
        querystring: exportQuery,
        response: {
          200: { description: 'The file, as long as it is', content: { 'text/csv': { schema: z.string() } } },
          400: problem,
          404: problem,
          503: problem,
        },
      },
    },
    (request, reply) => {
      const { probe } = request.params;
      if (!isKnown(desk, probe)) return void refuse(reply, unknownProbe(probe));
      const span = { fromMs: request.query.from ?? 0, toMs: request.query.to ?? desk.house().nowMs };
      const fault = spanFault(span);
      if (fault !== null) return void refuse(reply, fault);
      if (open >= exportsMax) {
        reply.header('retry-after', '5');
        return void refuse(reply, {
          code: 'EXPORT_FULL',
          message: `There must be at most ${exportsMax} exports at once, got one more. Wait for one to end.`,
        });
      }
      open += 1;
      reply.raw.once('close', () => {
        open -= 1;
      });
      const file = desk.exportFile({ probe, ...span, form: request.query.form });
      const text = Readable.from(file.text);
      // A file that breaks off has no other way to say so than by its connection.
      text.once('error', onBug);
      reply
        .header('content-type', file.mediaType)
        .header('content-disposition', `attachment; filename="${file.name}"`)
        .send(text as never);
    },
  );
}

function isKnown(desk: HouseDesk, probe: string): boolean {
  return desk.probes().some(({ id }) => id === probe);
}

function unknownProbe(probe: string) {
  return {
    code: 'PROBE_UNKNOWN' as const,
    message: `The probe ${shown(probe)} must be one of this house, got none of that id. Look at /api/probes.`,
  };
}
