/** Taking the messages of one connection: decoded, offered, and acknowledged in order once committed. */
import type { IPublishPacket } from 'mqtt';
import type { SourceSink } from '../source.ts';
import type { MqttSettings } from './mqtt-settings.ts';
import { decodeReadingMessage } from './reading-message.ts';
import { createResumption } from './resumption.ts';
import { createUnackedQueue, type UnackedLimits } from './unacknowledged.ts';

/** What the taking of a connection is made of. */
export type TakingOptions = {
  settings: MqttSettings;
  limits: UnackedLimits;
  sink: SourceSink;
  /** Sends these acknowledgements to the broker, in this order. */
  acknowledge(messageIds: readonly number[]): void;
  /** A commit failed: its message and all later ones must come again. */
  onFailed(): void;
};

export type Taking = {
  /** Says that the broker has accepted the connection, and whether it had kept the session. */
  accepted(sessionPresent: boolean): void;
  /** Takes a message; `readOn` is called when the next may come: at once, or when there is room again. */
  take(packet: IPublishPacket, readOn: () => void): void;
  /** Returns true while there is no room for the next message. */
  isHeld(): boolean;
  /** Takes nothing more; resolves once all that was taken is acknowledged, after `graceMs` at the latest. */
  finish(graceMs: number): Promise<void>;
  /** Acknowledges what is committed by now, and nothing ever after. */
  stop(): void;
};

/** Returns the taking of one connection; commits that end after `stop` change nothing. */
export function createTaking({ settings, limits, sink, acknowledge, onFailed }: TakingOptions): Taking {
  const queue = createUnackedQueue(limits);
  let resumption = createResumption(false, performance.now());
  let isTaking = true;
  let isStopped = false;
  let isFlushDue = false;
  let heldBack: (() => void) | null = null;
  let onEmpty: (() => void) | null = null;

  function flush(): void {
    isFlushDue = false;
    if (isStopped) return;
    const messageIds = queue.takeCommitted();
    if (messageIds.length > 0) acknowledge(messageIds);
    if (queue.isEmpty()) onEmpty?.();
    if (!queue.isFull()) proceed();
  }

  function proceed(): void {
    if (heldBack === null || !isTaking) return;
    const readOn = heldBack;
    heldBack = null;
    resumption.ready(performance.now());
    readOn();
  }

  return {
    accepted(sessionPresent) {
      resumption = createResumption(sessionPresent, performance.now());
    },
    take(packet, readOn) {
      if (!isTaking) return;
      const resumed = resumption.isResuming(performance.now());
      const messageId = packet.qos === 0 ? null : (packet.messageId ?? null);
      const unacked = queue.add(messageId, packet.payload.length);
      const offer = {
        source: settings.id,
        ...decode(packet, settings, resumed),
        canResend: messageId !== null,
      };
      sink.take(offer).then(() => {
        unacked.isCommitted = true;
        // Commits of one batch resolve together, so their acknowledgements leave together.
        if (!isFlushDue) setImmediate(flush);
        isFlushDue = true;
      }, onFailed);
      heldBack = readOn;
      if (!queue.isFull()) proceed();
    },
    isHeld: () => heldBack !== null,
    finish(graceMs) {
      isTaking = false;
      return new Promise((resolve) => {
        if (queue.isEmpty() || isStopped) return resolve();
        const timer = setTimeout(resolve, graceMs);
        onEmpty = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    },
    stop() {
      isTaking = false;
      if (!isStopped) flush();
      isStopped = true;
    },
  };
}

function decode({ topic, payload, retain, dup }: IPublishPacket, settings: MqttSettings, resumed: boolean) {
  const { id: source, house, mappings = [] } = settings;
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  return decodeReadingMessage({ topic, payload: bytes, retain, dup, resumed, source, house, mappings });
}
