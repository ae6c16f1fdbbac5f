/** One batch to the server, parted where it is too large or holds a reading that the server will not take. */
import type { MirrorPoint, MirrorServer, WriteOutcome } from './mirror-server.ts';

/**
 * How far a batch came: its first `done` points are at the server, `setAside` of them refused by it for
 * `refusedWhy`. Less than the whole batch only where something stopped it.
 */
export type SentBatch = { done: number; setAside: number; refusedWhy: string | null; stop: Stop | null };

/** What stops a batch: it can be sent again. */
export type Stop = Extract<WriteOutcome, { is: 'away' | 'denied' }>;

/**
 * Sends every point of a batch. A refused batch is halved until the reading that the server refuses stands
 * alone; that one is set aside, so that it cannot keep the others back for ever. A server that takes a part
 * of a refused batch sees that part again: the same points, which it keeps once.
 */
export async function sendBatch(server: MirrorServer, points: readonly MirrorPoint[]): Promise<SentBatch> {
  if (points.length === 0) return { done: 0, setAside: 0, refusedWhy: null, stop: null };
  const outcome = await server.write(points);
  switch (outcome.is) {
    case 'taken':
      return { done: points.length, setAside: 0, refusedWhy: null, stop: null };
    case 'away':
    case 'denied':
      return { done: 0, setAside: 0, refusedWhy: null, stop: outcome };
    case 'too-large':
    case 'refused': {
      const refusedWhy = outcome.is === 'refused' ? outcome.why : 'too large for it';
      return points.length === 1
        ? { done: 1, setAside: 1, refusedWhy, stop: null }
        : sendHalves(server, points);
    }
    default:
      return outcome satisfies never;
  }
}

async function sendHalves(server: MirrorServer, points: readonly MirrorPoint[]): Promise<SentBatch> {
  const middle = Math.ceil(points.length / 2);
  const first = await sendBatch(server, points.slice(0, middle));
  if (first.stop !== null) return first;
  const second = await sendBatch(server, points.slice(middle));
  return {
    done: first.done + second.done,
    setAside: first.setAside + second.setAside,
    refusedWhy: second.refusedWhy ?? first.refusedWhy,
    stop: second.stop,
  };
}
