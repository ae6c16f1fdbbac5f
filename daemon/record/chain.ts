/** The chain of the record: each event's hash covers its text and, by `prev`, all events before it. */
import { hash as digest } from 'node:crypto';
import canonicalize from 'canonicalize';
import { type Happening, type RecordEvent, recordEvent } from '../../shared/contract/event.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';

/** What stands for the event before the first: as many zeros as a hash has digits. */
export const firstPrev = '0'.repeat(64);

/** Where the record ends: its last number and hash; 0 and `firstPrev` where it is empty. */
export type ChainEnd = { recordSeq: number; hash: string };

/** An event as it is kept: `json` is the RFC 8785 text of the envelope without `hash`, which is its SHA-256. */
export type ChainedEvent = { event: RecordEvent; json: string };

/**
 * Numbers a happening and chains it to the record's end. Throws `EVENT_RULE` where it is not of the closed
 * union of kinds or JSON cannot carry it: what the record would refuse to verify is never written to it.
 */
export function chainEvent(happening: Happening, end: ChainEnd): ChainedEvent {
  const envelope = { ...happening, v: 1 as const, recordSeq: end.recordSeq + 1, prev: end.hash };
  const json = textOf(envelope);
  const event = readEvent(json, hashOf(json));
  const fault = faultOf(event);
  if (fault !== null) throw eventRule(happening.id, fault);
  return { event, json };
}

/** Returns the event behind its kept text, as plain JSON gives it. */
export function readEvent(json: string, hash: string): RecordEvent {
  return { ...(JSON.parse(json) as Omit<RecordEvent, 'hash'>), hash } as RecordEvent;
}

/** Returns SHA-256 of a text in UTF-8, as 64 hexadecimal digits. */
export function hashOf(json: string): string {
  return digest('sha256', json, 'hex');
}

/** Returns RFC 8785 JSON; throws for what JSON cannot carry: NaN, infinities, lone surrogates, nothing at all. */
export function canonicalJson(value: unknown): string {
  const json = canonicalize(value);
  if (json === undefined) throw new Error('a value must be one that JSON has, got undefined.');
  return json;
}

/** Returns how an event breaks the closed union of kinds, null where it does not. */
export function faultOf(event: unknown): string | null {
  const parsed = recordEvent.safeParse(event);
  if (parsed.success) return null;
  return parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`).join('; ');
}

function textOf(envelope: { id: string }): string {
  try {
    return canonicalJson(envelope);
  } catch (error) {
    throw eventRule(envelope.id, error instanceof Error ? error.message : String(error));
  }
}

function eventRule(id: string, found: string): DiskFault {
  return new DiskFault(
    'EVENT_RULE',
    `the event ${id} must be one that the record knows, got ${found}. Correct what made it.`,
  );
}
