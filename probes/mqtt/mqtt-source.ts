/** Readings from an outside broker: MQTT 3.1.1 or 5.0, QoS 1, a kept session. */
import { againIn, createRetry, usualWaits } from '../retry.ts';
import type { Source, SourceSink } from '../source.ts';
import { type MqttConnection, openMqttConnection } from './mqtt-connection.ts';
import { faultsOfMqttSettings, type MqttSettings } from './mqtt-settings.ts';

/**
 * Returns the source of an outside broker. It subscribes to the house's reading topics and the mapped
 * ones and acknowledges a message to the broker only after its commit, in the order of receipt. After a
 * commit that failed, and whenever the broker goes away, it connects anew after a growing wait, and the
 * broker sends again what was not acknowledged. `open` rejects only on settings that can never work.
 */
export function createMqttSource(settings: MqttSettings): Source {
  const { id, url } = settings;
  const waits = settings.waits ?? usualWaits;
  const retry = createRetry(waits);
  let connection: MqttConnection | null = null;
  let isClosed = false;

  /** Connects; `onSettled` is called once the connection stands or is over. */
  function connect(sink: SourceSink, onSettled: () => void): void {
    const beganMs = performance.now();
    connection = openMqttConnection(settings, sink, {
      onOpen() {
        sink.tell(id, { state: 'open', why: `subscribed at ${url}` });
        onSettled();
      },
      onAcknowledged: retry.reset,
      onEnd(why) {
        connection = null;
        onSettled();
        if (isClosed) {
          sink.tell(id, { state: 'closed', why: 'closed' });
          return;
        }
        // One that lasted is no sign of trouble, whether or not it had anything to acknowledge.
        if (performance.now() - beganMs > waits.longestMs) retry.reset();
        const waitMs = retry.later(() => connect(sink, onSettled));
        sink.tell(id, { state: 'waiting', why: `${url}: ${why}; ${againIn(waitMs)}` });
      },
    });
  }

  let told: SourceSink | null = null;
  return {
    id,
    async open(sink) {
      const faults = faultsOfMqttSettings(settings);
      if (faults.length > 0) throw new Error(faults.join('\n'));
      told = sink;
      await new Promise<void>((resolve) => connect(sink, resolve));
    },
    async close() {
      isClosed = true;
      retry.stop();
      if (connection === null) told?.tell(id, { state: 'closed', why: 'closed' });
      else await connection.close();
    },
  };
}
