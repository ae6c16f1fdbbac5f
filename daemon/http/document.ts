import fastifySwagger from '@fastify/swagger';
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { createJsonSchemaTransform, createJsonSchemaTransformObject } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { described } from './described.ts';

/** Registers the OpenAPI 3.1 document; routes added after it are described in it. */
export async function registerDocument(app: FastifyInstance, release: string): Promise<void> {
  await app.register(fastifySwagger, {
    openapi: {
      openapi: '3.1.1',
      info: {
        title: 'Springhouse',
        version: release,
        description:
          'What a house knows, as JSON. Every answer has `v`; within a version fields are only added, so ignore those you do not know. Temperatures are °C, instants epoch ms.',
        license: { name: 'MIT', identifier: 'MIT' },
      },
    },
    transform: createJsonSchemaTransform({ schemaRegistry: described }),
    transformObject: createJsonSchemaTransformObject({ schemaRegistry: described }),
  });
}

/** Adds the resource that answers with the document. */
export function addDocumentRoute(app: FastifyInstance): void {
  app.withTypeProvider<ZodTypeProvider>().get(
    '/api/openapi.json',
    {
      schema: {
        operationId: 'document',
        summary: 'This document',
        response: { 200: z.record(z.string(), z.unknown()) },
      },
    },
    async () => app.swagger() as unknown as Record<string, unknown>,
  );
}
