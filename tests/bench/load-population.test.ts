import { describe, expect, it } from 'vitest';
import { decodeReadingMessage } from '../../probes/mqtt/reading-message.ts';
import { type LoadMessage, loadMessages, loadProbeIds, milkAfterMs } from './load-population.ts';

const startMs = 1_772_519_400_000;
const options = { house: 'larkfell-x', probes: 200, chills: 4, count: 40_000, startMs, seed: 1 };

const decode = ({ topic, payload }: LoadMessage) =>
  decodeReadingMessage({
    ...{ topic, payload: Buffer.from(payload), source: 'bench', house: 'larkfell-x' },
    ...{ retain: false, dup: false, resumed: false },
  });

describe('the load', () => {
  const messages = [...loadMessages(options)];

  it('is the same for the same seed', () => {
    expect([...loadMessages({ ...options, count: 1000 })]).toEqual(messages.slice(0, 1000));
    expect([...loadMessages({ ...options, count: 1000, seed: 2 })]).not.toEqual(messages.slice(0, 1000));
  });

  it('is numbered, in rounds in which every probe speaks once, with rising instants', () => {
    expect(messages.map(({ number }) => number)).toEqual(messages.map((_, index) => index));
    const stamps = new Map<string, number[]>();
    for (const { probe, atMs } of messages) stamps.set(probe, [...(stamps.get(probe) ?? []), atMs]);
    expect([...stamps.keys()]).toEqual(loadProbeIds(200));
    for (const own of stamps.values()) {
      expect(own).toEqual(own.map((_, round) => (own[0] ?? 0) + round * 5000));
    }
  });

  it('is what the house reads without refusal', () => {
    for (const message of messages.slice(0, 2000)) {
      const { readings, refusals } = decode(message);
      expect(refusals).toEqual([]);
      expect(readings).toHaveLength(1);
      expect(readings[0]).toMatchObject({ probe: message.probe, atMs: message.atMs });
    }
  });

  it('has four jars that cool and 196 probes that rest', () => {
    const lastOf = new Map<string, number[]>();
    for (const message of messages) {
      if (message.atMs < startMs + milkAfterMs + 120_000) continue;
      const [reading] = decode(message).readings;
      lastOf.set(message.probe, [...(lastOf.get(message.probe) ?? []), reading?.tempC ?? Number.NaN]);
    }
    const fell = [...lastOf]
      .filter(([, temps]) => (temps[0] ?? 0) - (temps.at(-1) ?? 0) > 4)
      .map(([probe]) => probe);
    expect(fell).toEqual(['load-0', 'load-1', 'load-2', 'load-3']);
  });
});
