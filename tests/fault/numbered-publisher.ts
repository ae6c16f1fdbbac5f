/** Publishes numbered readings at QoS 1, keeps what was not acknowledged, and sends it again. */
import { connect, type MqttClient } from 'mqtt';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';

export type Numbered = { number: number; probe: string; atMs: number; tempC: number };

export type NumberedPublisher = {
  /** Numbers that were published, whether acknowledged or not. */
  published(): number;
  acknowledged(): ReadonlySet<number>;
  /** Publishes nothing new and resolves when all is acknowledged. */
  drain(): Promise<void>;
  close(): void;
};

/** Messages unacknowledged at a time. */
const windowMax = 200;
/** New messages each pulse: enough that some are on the way at any moment, few enough for hundreds of lives. */
const perPulse = 40;
const pulseMs = 10;
const againMs = 30;

/** The reading of a number: unique by probe and instant, and its value can be told from its number. */
export function numbered(number: number, startMs: number, probes: readonly string[]): Numbered {
  const probe = probes[number % probes.length] as string;
  const atMs = startMs + Math.floor(number / probes.length) * 250;
  return { number, probe, atMs, tempC: 4 + (number % 64) / 16 };
}

/** Begins to publish and goes on, whatever happens to the broker, until drained. */
export function openNumberedPublisher(o: {
  url: string;
  house: () => string;
  startMs: number;
  probes: readonly string[];
}): NumberedPublisher {
  const acknowledged = new Set<number>();
  const waiting = new Map<number, Numbered>();
  let next = 0;
  let isOpen = true;
  let isDraining = false;
  let onDrained: (() => void) | null = null;
  let client: MqttClient | null = null;
  let pulse = () => {};

  function dial(): void {
    if (!isOpen) return;
    const current = connect(o.url, { reconnectPeriod: 0, connectTimeout: 2_000, clientId: 'numbered' });
    client = current;
    const inFlight = new Set<number>();
    current.on('error', () => {});
    current.on('connect', () => fill());
    current.on('close', () => {
      if (client !== current) return;
      client = null;
      setTimeout(dial, againMs);
    });
    const fill = (): void => {
      for (const reading of waiting.values()) {
        if (inFlight.size >= windowMax) return;
        if (!inFlight.has(reading.number)) send(reading);
      }
    };
    pulse = () => {
      if (!current.connected) return;
      for (let sent = 0; sent < perPulse && !isDraining && inFlight.size < windowMax; sent++) {
        const reading = numbered(next++, o.startMs, o.probes);
        waiting.set(reading.number, reading);
        send(reading);
      }
    };
    const send = (reading: Numbered): void => {
      inFlight.add(reading.number);
      const topic = `springhouse/${o.house()}/reading/${reading.probe}`;
      current.publish(topic, senmlOf([reading]), { qos: 1 }, (error) => {
        if (error) return;
        inFlight.delete(reading.number);
        waiting.delete(reading.number);
        acknowledged.add(reading.number);
        if (isDraining && waiting.size === 0) onDrained?.();
        else fill();
      });
    };
  }

  const timer = setInterval(() => pulse(), pulseMs);
  dial();
  return {
    published: () => next,
    acknowledged: () => acknowledged,
    drain: () => {
      isDraining = true;
      return new Promise((resolve) => {
        onDrained = resolve;
        if (waiting.size === 0) resolve();
      });
    },
    close: () => {
      isOpen = false;
      clearInterval(timer);
      client?.end(true);
    },
  };
}
