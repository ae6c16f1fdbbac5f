import type { OutMessage } from './out-topics.ts';

/**
 * The port through which the house speaks over MQTT: by the embedded broker or by one outside. `publish`
 * returns at once and never throws. What cannot leave yet waits in an `OutQueue`; after `close` it is
 * dropped. `close` says on `…/alive` that the house is gone, resolves within 1 s, and may be called twice.
 */
export type Publisher = {
  publish(message: OutMessage): void;
  close(): Promise<void>;
  /** How many messages were dropped because too many waited, or because they came after `close`. */
  dropped(): number;
};
