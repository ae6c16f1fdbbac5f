/** Holds a probe of the network to its own topics and its own readings. */
import { readingTopic, type TopicMapping } from '../../probes/mqtt/reading-message.ts';
import { type Decoded, shown } from '../../probes/wire/decoded.ts';

/** Whose client it is, and what topics there are. */
export type Own = { source: string; house: string; mappings: readonly TopicMapping[]; probe: string };

/**
 * Returns of a message only what its sender may say: nothing where the topic is not its own, and no reading
 * of another probe, whatever names stand in a pack. What is left out is a refusal.
 */
export function ownOnly(decoded: Decoded, topic: string, own: Own): Decoded {
  if (!isOwnTopic(topic, own)) return { readings: [], refusals: [refusalOf(own, shown(topic))] };
  const foreign = decoded.readings.filter(({ probe }) => probe !== own.probe);
  if (foreign.length === 0) return decoded;
  const [first] = foreign;
  return {
    readings: decoded.readings.filter(({ probe }) => probe === own.probe),
    refusals: [...decoded.refusals, refusalOf(own, `a reading of ${shown(first?.probe)}`)],
  };
}

function isOwnTopic(topic: string, { house, mappings, probe }: Own): boolean {
  if (topic === readingTopic(house, probe)) return true;
  const mapped = mappings.filter((mapping) => mapping.topic === topic);
  return mapped.length > 0 && mapped.every((mapping) => mapping.probe === probe);
}

function refusalOf({ source, probe }: Own, got: string): Decoded['refusals'][number] {
  return {
    source,
    probe,
    code: 'BROKER_TOPIC',
    message: `what a device with the key of ${shown(probe)} publishes must be its own readings on its own topic, got ${got}. Give each device a key of its own.`,
  };
}
