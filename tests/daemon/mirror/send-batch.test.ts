import { describe, expect, it } from 'vitest';
import { sendBatch } from '../../../daemon/mirror/send-batch.ts';
import { memoryServer } from './in-memory-server.ts';

const points = Array.from({ length: 9 }, (_, index) => ({
  probe: 'jar',
  place: null,
  atMs: 1_000 * index,
  tempC: index,
}));

describe('a batch to a server', () => {
  it('goes in one request where the server takes it', async () => {
    const server = memoryServer();
    expect(await sendBatch(server, points)).toEqual({ done: 9, setAside: 0, refusedWhy: null, stop: null });
    expect([server.taken, server.requests]).toEqual([points, [9]]);
  });

  it('asks nothing of the server where it is empty', async () => {
    const server = memoryServer();
    expect(await sendBatch(server, [])).toEqual({ done: 0, setAside: 0, refusedWhy: null, stop: null });
    expect(server.requests).toEqual([]);
  });

  it('sets aside only the reading that the server refuses, whichever it is', async () => {
    for (const bad of points) {
      const server = memoryServer();
      server.rule = (batch) => (batch.includes(bad) ? { is: 'refused', why: 'no' } : { is: 'taken' });
      expect(await sendBatch(server, points)).toEqual({ done: 9, setAside: 1, refusedWhy: 'no', stop: null });
      expect(server.taken).toEqual(points.filter((point) => point !== bad));
    }
  });

  it('is parted until it fits where it is too large', async () => {
    const server = memoryServer();
    server.rule = ({ length }) => (length > 2 ? { is: 'too-large' } : { is: 'taken' });
    expect(await sendBatch(server, points)).toMatchObject({ done: 9, setAside: 0, stop: null });
    expect(server.taken).toEqual(points);
  });

  it('tells how far it came where the server goes away in the middle', async () => {
    const server = memoryServer();
    server.rule = ({ length }) => {
      if (length > 2) return { is: 'too-large' };
      return server.taken.length < 5 ? { is: 'taken' } : { is: 'away', why: 'gone', againMs: null };
    };
    const sent = await sendBatch(server, points);
    expect(sent).toMatchObject({ done: server.taken.length, stop: { is: 'away', why: 'gone' } });
    expect(server.taken).toEqual(points.slice(0, sent.done));
  });
});
