import type { FastifyReply } from 'fastify';
import type { Problem } from '../../shared/contract/api.ts';

/** Every reason for which HTTP refuses a request, with its status and what it means; the codes never change. */
export const httpProblems = {
  HTTP_HOST: { status: 421, means: 'the Host header does not name this machine and port' },
  HTTP_ORIGIN: { status: 403, means: 'a page of another origin asked' },
  HTTP_TYPE: { status: 415, means: 'the content type of what was posted is not application/json' },
  HTTP_BODY: { status: 400, means: 'what was posted does not fit its schema' },
  HTTP_LONG: { status: 413, means: 'what was posted is too long' },
  HTTP_QUERY: { status: 400, means: 'a parameter of the query does not fit its rule' },
  HTTP_PATH: { status: 404, means: 'nothing is served at this path' },
  HTTP_MALFORMED: { status: 400, means: 'what arrived is not an HTTP request, or its head is too large' },
  HTTP_BUG: { status: 500, means: 'the house failed to answer' },
  PAGE_MISSING: { status: 404, means: 'the page has not been built' },
  PROBE_UNKNOWN: { status: 404, means: 'the house has no probe of this id' },
  WATCH_UNKNOWN: { status: 404, means: 'the house has no watch of this id' },
  WAY_UNKNOWN: { status: 404, means: 'the house has no way of this id' },
  EXPORT_FULL: { status: 503, means: 'as many exports are under way as are let in' },
  HTTP_UNKEPT: { status: 503, means: 'the disk refuses to keep what is asked' },
  HTTP_FLOOD: { status: 429, means: 'one address of the network asks too much' },
  DOOR_SIGN_IN: { status: 401, means: 'whoever asks must sign in first' },
  DOOR_WRONG: { status: 403, means: 'name and password do not fit' },
  DOOR_CODE: { status: 403, means: 'the pairing code is not good' },
  DOOR_WAIT: { status: 429, means: 'the next try comes too soon' },
  DOOR_PASSWORD: { status: 422, means: 'the new password breaks a rule' },
  DOOR_NAME: { status: 422, means: 'the name breaks a rule, or somebody has it' },
  DOOR_FULL: { status: 503, means: 'too many people, or too many at once' },
  DOOR_UNKNOWN: { status: 404, means: 'the house has no such person, probe or session' },
  DOOR_SETTING: { status: 422, means: 'the house cannot be opened as asked' },
  DOOR_CERTIFICATE: { status: 422, means: 'the certificate of the doors cannot be used' },
  LIVE_FULL: { status: 503, means: 'too many clients read the live feed' },
} as const;

export type HttpProblemCode = keyof typeof httpProblems;

/** A refused request as a value: the code decides the status, the message is a sentence for a person. */
export type HttpFault = { code: HttpProblemCode; message: string };

/** Answers a request with a fault. */
export function refuse(reply: FastifyReply, fault: HttpFault): FastifyReply {
  return reply.code(httpProblems[fault.code].status).send(problemOf(fault));
}

/** Returns a fault as it goes out. */
export function problemOf({ code, message }: HttpFault): Problem {
  return { v: 1, code, message };
}

/** The longest piece of a foreign value that a sentence repeats; what is beyond is cut. */
export const shownCharsMax = 60;

/** Returns a foreign value as it may stand in a sentence: one line, quoted, at most `shownCharsMax` long. */
export function shown(value: unknown): string {
  if (value === undefined) return 'none';
  const text = JSON.stringify(value) ?? String(value);
  return text.length <= shownCharsMax ? text : `${text.slice(0, shownCharsMax)}…`;
}
