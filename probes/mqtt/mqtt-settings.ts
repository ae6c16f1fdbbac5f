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
  const faults: string[] = [];
  function check(isRight: boolean, thing: string, rule: string, value: string): void {
    if (isRight) return;
    const fault = `${thing} of source ${shown(id)} must be ${rule}, got ${shown(value)}`;
    faults.push(`SOURCE_SETTING: ${fault}. Correct it in the house file.`);
  }
  check(isBrokerUrl(url), 'url', '"mqtt://host:port" or "mqtts://host:port"', withoutSecrets(url));
  check(/^[^+#/\0]+$/.test(house), 'house', 'a topic level without "/", "+" and "#"', house);
  // MQTT 3.1.1 §3.1.3.1: an empty id cannot name a kept session.
  check(clientId !== '', 'clientId', 'a name for the kept session', clientId);
  for (const { topic, pointer } of mappings) {
    check(/^[^+#\0]+$/.test(topic), 'topic', 'a topic without "+" and "#"', topic);
    check(isPointer(pointer), 'pointer', 'a JSON Pointer such as "/temperature"', pointer);
  }
  return faults;
}

/** The url is shown to people, so it must not carry a password. */
function isBrokerUrl(url: string): boolean {
  const parsed = URL.parse(url);
  return (
    parsed !== null && /^mqtts?:$/.test(parsed.protocol) && parsed.hostname !== '' && parsed.username === ''
  );
}

function withoutSecrets(url: string): string {
  return url.replace(/\/\/[^/]*@/, '//');
}
