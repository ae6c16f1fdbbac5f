/** From an MQTT message to readings: one decoder for the outside broker and the embedded one. */
import { plainIdPattern } from '../../shared/contract/ids.ts';
import type { WireReading } from '../source.ts';
import { type Decoded, type Origin, refuse, refused, shown } from '../wire/decoded.ts';
import { parsePlainLine } from '../wire/plain-line.ts';
import { decodeMapped, type PointerMapping } from '../wire/pointer-mapping.ts';
import { parseSenml } from '../wire/senml.ts';

/** A foreign topic (exact, without wildcards) and where in its JSON the temperature of a probe stands. */
export type TopicMapping = PointerMapping & { topic: string };

/** A message as it came from a broker, and what its delivery tells about its age. */
export type ReadingMessage = {
  topic: string;
  payload: Uint8Array;
  /** True only for a message that a broker kept for newcomers; false for a live one that asks to be kept. */
  retain: boolean;
  /** True where the sender says that it may have sent it before. */
  dup: boolean;
  /** True in the first moments of a resumed session, when what comes may have waited. */
  resumed: boolean;
  /** The id of the source that refusals name. */
  source: string;
  house: string;
  /** Foreign topics; absent means none. */
  mappings?: readonly TopicMapping[];
};

/** The longest payload read, in bytes: a pack of `recordsMax` records. A longer one is refused whole. */
export const payloadBytesMax = 262_144;

const utf8 = new TextDecoder('utf-8', { fatal: true });

/** Returns the topic under which a house hears a probe; `+` in the probe's place makes the filter for all. */
export function readingTopic(house: string, probe: string): string {
  return `springhouse/${house}/reading/${probe}`;
}

/**
 * Decodes a message into readings and refusals. On the house's own topic the payload is a SenML pack, a
 * bare number or `id value`; on a mapped topic it is foreign JSON. An unstamped reading is refused where
 * the message was retained, and `undated` where it was redelivered or came on resuming. An empty payload
 * (a retained message being cleared) is neither reading nor refusal. Nothing is thrown.
 */
export function decodeReadingMessage(message: ReadingMessage): Decoded {
  const decoded = decodePayload(message);
  if (message.retain) return refuseUnstamped(decoded, message.source);
  if (!message.dup && !message.resumed) return decoded;
  return { ...decoded, readings: decoded.readings.map(asUndated) };
}

function decodePayload({ topic, payload, source, house, mappings = [] }: ReadingMessage): Decoded {
  const mapped = mappings.filter((mapping) => mapping.topic === topic);
  const probe = mapped.length > 0 ? null : probeOf(topic, house);
  const origin: Origin = { source, probe };
  if (probe === null && mapped.length === 0) {
    const message =
      `topic must be "${readingTopic(house, '<probe>')}" or one that the house file maps, got ${shown(topic)}. ` +
      'Publish there, or map this topic.';
    return refused(origin, 'WIRE_PROBE', message);
  }
  if (payload.length > payloadBytesMax) {
    const message =
      `message on ${shown(topic)} must be ${payloadBytesMax} bytes at most, got more. ` +
      'Send the readings in several messages.';
    return refused(origin, 'WIRE_LONG', message);
  }
  const text = textOf(payload);
  if (text === null) {
    return refused(
      origin,
      'WIRE_GARBLED',
      `message on ${shown(topic)} must be UTF-8 text, got other bytes. Send text.`,
    );
  }
  if (text === '') return { readings: [], refusals: [] };
  if (mapped.length > 0) return decodeMapped(text, mapped, source);
  return /^[[{]/.test(text) ? parseSenml(text, origin) : parsePlainLine(text, origin);
}

/** Returns the probe of the house's own reading topic, or null. */
function probeOf(topic: string, house: string): string | null {
  const prefix = readingTopic(house, '');
  if (!topic.startsWith(prefix)) return null;
  const probe = topic.slice(prefix.length);
  return plainIdPattern.test(probe) ? probe : null;
}

function textOf(payload: Uint8Array): string | null {
  try {
    return utf8.decode(payload).trim();
  } catch {
    return null;
  }
}

function asUndated(reading: WireReading): WireReading {
  return reading.atMs === null ? { ...reading, undated: true } : reading;
}

function refuseUnstamped({ readings, refusals }: Decoded, source: string): Decoded {
  const unstamped = readings.filter((reading) => reading.atMs === null);
  return {
    readings: readings.filter((reading) => reading.atMs !== null),
    refusals: [
      ...refusals,
      ...unstamped.map(({ probe }) => refuse({ source, probe }, 'WIRE_RETAINED', retained(probe))),
    ],
  };
}

function retained(probe: string): string {
  return (
    `retained message of probe ${shown(probe)} must carry an absolute time, got none. ` +
    'Publish readings without the retain flag, or as SenML with a time.'
  );
}
