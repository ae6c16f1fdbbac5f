import type { Way } from '../way.ts';

export type OwnBrokerWayOptions = {
  id: string;
  topic: string;
  /** The broker of this house, in this process. */
  broker: { publish(message: { topic: string; payload: string; retain: boolean; qos: 0 | 1 }): void };
};

/** Opens a way over the broker of this house. It has taken a letter at once; who listens there, hears it. */
export function openOwnBrokerWay({ id, topic, broker }: OwnBrokerWayOptions): Way {
  return {
    id,
    kind: 'mqtt',
    leadsTo: topic,
    send: async (letter) => {
      broker.publish({ topic, payload: JSON.stringify(letter), retain: false, qos: 1 });
      return { is: 'sent' };
    },
    close: async () => {},
  };
}
