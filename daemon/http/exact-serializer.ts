import type { FastifySerializerCompiler } from 'fastify/types/schema.js';
import { ResponseSerializationError } from 'fastify-type-provider-zod';
import type { ZodType } from 'zod';

/**
 * Checks an answer against its schema and sends it as it is, unknown fields too. The usual serializer drops
 * those, and then the hash of an event that a later release wrote would no longer fit.
 */
export const exactSerializer: FastifySerializerCompiler<ZodType> = ({ schema, method, url }) => {
  return (data) => {
    const checked = schema.safeParse(data);
    if (checked.error) throw new ResponseSerializationError(method, url, { cause: checked.error });
    return JSON.stringify(data);
  };
};
