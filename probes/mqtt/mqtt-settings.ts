/** What an outside broker's source is told, and what it must be to ever work. */

import type { RetryWaits } from '../retry.ts';
import { shown } from '../wire/decoded.ts';
import { isPointer } from '../wire/pointer-mapping.ts';
import type { TopicMapping } from './reading-message.ts';
import type { UnackedLimits } from './unacknowledged.ts';

/** An outside broker and how to speak to it. */
export type MqttSettings = {
  /** The source's id. */
  id: string;
  /** `mqtt://host:port` or `mqtts://host:port`, without user and password. */
  url: string;
  /** 4 for MQTT 3.1.1, 5 for MQTT 5.0. */
  protocolVersion: 4 | 5;
  house: string;
  /** Names the kept session, so it must stay the same from run to run and be this house's alone. */
  clientId: string;
  username?: string;
  password?: string;
  /** The certificate of a private authority in PEM, for `mqtts`. */
  ca?: string;
  mappings?: readonly TopicMapping[];
  /** `usualWaits` where absent. */
  waits?: RetryWaits;
  /** `unackedMax` and `unackedBytesMax` where absent. */
  limits?: UnackedLimits;
};

/** Returns what makes these settings impossible, for a person; empty where they can work. */
export function faultsOfMqttSettings({ id, url, house, clientId, mappings = [] }: MqttSettings): string[] {
  const wrong = (thing: string, rule: string, value: string) =>
    `${thing} of source ${shown(id)} must be ${rule}, got ${shown(value)}. Correct it in the house file.`;
  const faults: string[] = [];
  if (!/^mqtts?:$/.test(URL.parse(url)?.protocol ?? '') || URL.parse(url)?.hostname === '') {
    faults.push(wrong('url', '"mqtt://host:port" or "mqtts://host:port"', url));
  }
  if (house === '' || /[+#/\0]/.test(house))
    faults.push(wrong('house', 'a topic level without "/", "+" and "#"', house));
  // MQTT 3.1.1 §3.1.3.1: an empty id cannot name a kept session.
  if (clientId === '') faults.push(wrong('clientId', 'a name for the kept session', clientId));
  for (const { topic, pointer } of mappings) {
    if (!topic.split('/').every(isTopicLevel))
      faults.push(wrong('topic', 'a topic without "+" and "#"', topic));
    if (!isPointer(pointer)) faults.push(wrong('pointer', 'a JSON Pointer such as "/temperature"', pointer));
  }
  return faults;
}
