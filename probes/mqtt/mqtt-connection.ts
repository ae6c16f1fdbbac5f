/** One connection to an outside broker, from CONNECT to its end; it is never used again after that. */
import { MqttClient } from 'mqtt';
import type { SourceSink } from '../source.ts';
import { createAckGate } from './ack-gate.ts';
import { clientOptions, keepaliveS, packetBytesMax, socketTo } from './dial.ts';
import type { MqttSettings } from './mqtt-settings.ts';
import { readingTopic } from './reading-message.ts';
import { createTaking } from './taking.ts';
import { unackedBytesMax, unackedMax } from './unacknowledged.ts';

/** How long closing waits for commits under way, so that fewer messages come twice. */
const closeGraceMs = 500;

/** How long closing waits for the goodbye to go out. */
const goodbyeWaitMs = 200;

/** What a connection tells; nothing is called after `onEnd`, which is called once. */
export type ConnectionListener = {
  /** The subscriptions stand. */
  onOpen(): void;
  /** Messages were committed and acknowledged. */
  onAcknowledged(): void;
  /** It is over, for this reason; whatever was not acknowledged comes again on the next connection. */
  onEnd(why: string): void;
};

export type MqttConnection = {
  /**
   * Takes nothing more, acknowledges what is committed within `closeGraceMs`, says goodbye and lets go,
   * all within 1 s. The broker keeps the session.
   */
  close(): Promise<void>;
};

/** Connects, resumes the kept session, subscribes and hands every message to the sink. */
export function openMqttConnection(
  settings: MqttSettings,
  sink: SourceSink,
  listener: ConnectionListener,
): MqttConnection {
  const limits = settings.limits ?? { countMax: unackedMax, bytesMax: unackedBytesMax };
  const gate = createAckGate(socketTo(settings), packetBytesMax);
  const client = new MqttClient(() => gate.stream, clientOptions(settings, limits.countMax));
  const taking = createTaking({
    settings,
    limits,
    sink,
    acknowledge(messageIds) {
      gate.acknowledge(messageIds);
      listener.onAcknowledged();
    },
    onFailed: () => end('readings could not be committed, so the broker keeps them'),
  });
  // The library sees no answer to its pings while it is held back, and would give the connection up.
  const heldPing = setInterval(() => {
    if (!taking.isHeld()) return;
    client.sendPing();
    client.reschedulePing(true);
  }, keepaliveS * 500);
  let isOver = false;
  let farewell = 'the broker closed the connection';

  function end(why: string): void {
    if (isOver) return;
    taking.stop();
    isOver = true;
    clearInterval(heldPing);
    gate.stream.destroy();
    listener.onEnd(why);
  }

  client.handleMessage = taking.take;
  // Not on `connect`, which comes too late for the first message of a resumed session.
  client.on('packetreceive', (packet) => {
    if (packet.cmd === 'connack') taking.accepted(packet.sessionPresent);
  });
  client.on('connect', () => {
    client.subscribe(filtersOf(settings), { qos: 1 }, (fault) => {
      if (fault) end(`the broker refused to subscribe: ${fault.message}`);
      else if (!isOver) listener.onOpen();
    });
  });
  client.on('disconnect', ({ reasonCode }) => {
    farewell = `the broker closed the connection with reason code ${reasonCode}`;
  });
  // The library keeps to itself what the stream says without an error code.
  gate.stream.on('error', (fault) => end(reasonOf(fault)));
  client.on('error', (fault) => end(reasonOf(fault)));
  client.on('close', () => end(farewell));

  return {
    async close() {
      await taking.finish(closeGraceMs);
      if (client.connected && !isOver) await sayGoodbye(client);
      end('closed');
    },
  };
}

/** A host with several addresses, none of which answers, gives a code and an empty message. */
function reasonOf(fault: Error & { code?: unknown }): string {
  return fault.message || String(fault.code ?? 'the broker cannot be reached');
}

/** Sends DISCONNECT, so that the broker does not wait for a lost connection to time out. */
function sayGoodbye(client: MqttClient): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, goodbyeWaitMs);
    client.end(false, () => {
      clearTimeout(timer);
      resolve();
    });
  });
}

function filtersOf({ house, mappings = [] }: MqttSettings): string[] {
  return [readingTopic(house, '+'), ...new Set(mappings.map(({ topic }) => topic))];
}
