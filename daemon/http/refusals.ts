import type { Socket } from 'node:net';
import type { FastifyRequest } from 'fastify';
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod';
import { DiskFault } from '../sqlite/disk-fault.ts';
import { bodyBytesMax, headBytesMax } from './limits.ts';
import type { HttpFault } from './problems.ts';
import { problemOf, shown } from './problems.ts';

/** Returns what the asker hears of an error: a fault of the request, or `HTTP_BUG` without any detail. */
export function refusalOf(error: unknown, request: Pick<FastifyRequest, 'url' | 'query'>): HttpFault {
  if (hasZodFastifySchemaValidationErrors(error)) return schemaFault(error, request);
  if (error instanceof DiskFault) {
    return {
      code: 'HTTP_UNKEPT',
      message: `What is asked must be kept on disk, got ${error.code}. Try again once the disk is in order.`,
    };
  }
  const { code, statusCode } = error as { code?: string; statusCode?: number };
  if (code === 'FST_ERR_CTP_BODY_TOO_LARGE') {
    return {
      code: 'HTTP_LONG',
      message: `The body must be at most ${bodyBytesMax} bytes, got more. Say one word at a time.`,
    };
  }
  if (code === 'FST_ERR_BAD_URL' || code === 'FST_ERR_MAX_PARAM_LENGTH') return unservedPath(request.url);
  if (statusCode === 400) {
    return {
      code: 'HTTP_BODY',
      message: 'The body must be one JSON object, got something else. See PostedWord in /api/openapi.json.',
    };
  }
  return {
    code: 'HTTP_BUG',
    message: 'The house must answer this, got a failure of its own. Try again; its log says more.',
  };
}

/** Returns the fault of a path that is not served. */
export function unservedPath(url: string): HttpFault {
  return {
    code: 'HTTP_PATH',
    message: `The path must be one that is served, got ${shown(url)}. /api/openapi.json lists them.`,
  };
}

type SchemaError = { validation: { instancePath: string; message?: string }[]; validationContext?: string };

function schemaFault(error: SchemaError, request: Pick<FastifyRequest, 'query'>): HttpFault {
  const [first] = error.validation;
  const path = (first?.instancePath ?? '').split('/').filter((part) => part !== '');
  const rule = first?.message ?? 'as its schema says';
  if (error.validationContext === 'querystring') {
    const name = path[0] ?? '';
    const value = (request.query as Readonly<Record<string, unknown>>)[name];
    return {
      code: 'HTTP_QUERY',
      message: `The parameter ${shown(name)} must be ${rule}, got ${shown(value)}. Ask again with one.`,
    };
  }
  const place = ['body', ...path].join('.');
  return {
    code: 'HTTP_BODY',
    message: `What is posted must fit its schema, got at ${place}: ${rule}. See PostedWord in /api/openapi.json.`,
  };
}

/** Answers what could not be read as an HTTP request, and ends its connection. */
export function answerMalformed(error: Error & { code?: string }, socket: Socket): void {
  if (error.code === 'ECONNRESET' || socket.destroyed || !socket.writable) {
    socket.destroy();
    return;
  }
  const body = problemOf({
    code: 'HTTP_MALFORMED',
    message: `A request must be HTTP/1.1 with a head of at most ${headBytesMax} bytes, got something else. Send it again.`,
  });
  const text = JSON.stringify(body);
  socket.end(
    `HTTP/1.1 400 Bad Request\r\ncontent-type: application/json\r\ncontent-length: ${Buffer.byteLength(text)}\r\nconnection: close\r\n\r\n${text}`,
  );
}
