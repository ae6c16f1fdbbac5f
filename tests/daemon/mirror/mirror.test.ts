import { afterEach, describe, expect, it } from 'vitest';
import { batchMax, type Mirror, openMirror } from '../../../daemon/mirror/mirror.ts';
import type { MirrorPast, MirrorReading } from '../../../daemon/mirror/mirror-readings.ts';
import { readingFlags } from '../../../shared/contract/input.ts';
import { until } from '../open-test-house.ts';
import { memoryServer } from './in-memory-server.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

function reading(inputSeq: number, flags = 0): MirrorReading {
  const atMs = dawnMs + inputSeq * 1_000;
  return { inputSeq, probe: 'jar', atMs, tempC: (inputSeq % 64) / 16, flags, receivedMs: atMs };
}

/** A history in memory, a mirror over it, and what it keeps; each call opens the mirror anew. */
function rig(count: number, flagsOf: (seq: number) => number = () => 0) {
  const kept = Array.from({ length: count }, (_, index) => reading(index + 1, flagsOf(index + 1)));
  const server = memoryServer();
  const state = {
    cursor: null as string | null,
    holdFromSeq: null as number | null,
    troubles: [] as string[],
    unlogged: [] as MirrorReading[],
    unloggedTo: 0,
    past: null as MirrorPast | null,
  };
  const open = (resendMs = 0) =>
    openMirror({
      id: 'stats',
      server,
      source: {
        readingsAfter: async (inputSeq, limit) =>
          kept.filter((each) => each.inputSeq > inputSeq).slice(0, limit),
        pastAfter: async (inputSeq) => (inputSeq < state.unloggedTo ? state.past : null),
        readingsOf: async ({ fromMs, toMs }) => {
          const found = state.unlogged.filter(({ atMs }) => atMs >= fromMs && atMs < toMs).slice(0, 3);
          return { readings: found, nextMs: found.length < 3 ? null : (found.at(-1)?.atMs ?? 0) + 1 };
        },
      },
      placeOf: (_probe, atMs) => (atMs < dawnMs + 5_000 ? 'ice-tub' : null),
      newestSeq: () => kept.at(-1)?.inputSeq ?? 0,
      holdFromSeq: () => state.holdFromSeq,
      keepCursor: async (text) => {
        state.cursor = text;
      },
      keptCursor: state.cursor,
      nowMs: () => dawnMs + 3_600_000,
      everyMs: 5,
      resendMs,
      onTrouble: (error) => state.troubles.push(error === null ? 'over' : error.message),
    });
  return { kept, server, state, open };
}

let mirror: Mirror | null = null;
const isCurrent = async () => mirror?.view();
afterEach(async () => {
  await mirror?.close();
  mirror = null;
});

describe('a mirror', () => {
  it('sends every kept reading in order of its number, at most so many a request, with its place', async () => {
    const { server, kept, open } = rig(batchMax + 3);
    mirror = open();
    const view = await until(isCurrent, (seen) => seen?.waiting === 0 && seen.state === 'current');
    expect(view).toEqual({
      id: 'stats',
      state: 'current',
      waiting: 0,
      held: false,
      lagMs: 0,
      takenAtMs: dawnMs + 3_600_000,
      setAside: 0,
      why: '',
    });
    expect(server.requests).toEqual([batchMax, 3]);
    expect(server.taken).toEqual(
      kept.map(({ probe, atMs, tempC, inputSeq }) => ({
        probe,
        atMs,
        tempC,
        place: inputSeq < 5 ? 'ice-tub' : null,
      })),
    );
  });

  it('goes on where it was after a restart, with readings that came late in their turn', async () => {
    const { server, kept, open } = rig(10);
    mirror = open();
    await until(isCurrent, (seen) => seen?.waiting === 0);
    await mirror.close();
    kept.push({ ...reading(11, readingFlags.late), atMs: dawnMs - 60_000 });
    mirror = open();
    await until(isCurrent, (seen) => seen?.waiting === 0);
    expect(server.taken.map(({ atMs }) => atMs)).toEqual(kept.map(({ atMs }) => atMs));
    expect(server.requests).toEqual([10, 1]);
  });

  it('waits out an outage, says so once, shows its lag, and then sends everything once', async () => {
    const { server, kept, state, open } = rig(10);
    server.rule = () => ({ is: 'away', why: 'connect ECONNREFUSED', againMs: null });
    mirror = open();
    const view = await until(isCurrent, (seen) => seen?.state === 'away');
    expect(view).toMatchObject({ waiting: 10, lagMs: 3_600_000 - 1_000, why: 'connect ECONNREFUSED' });
    server.rule = () => ({ is: 'taken' });
    await until(isCurrent, (seen) => seen?.state === 'current');
    expect(server.taken).toHaveLength(kept.length);
    expect(state.troubles).toEqual([
      'MIRROR_AWAY: mirror stats must be reached, got connect ECONNREFUSED. Nothing is lost: readings wait in the history and follow.',
      'over',
    ]);
  });

  it('sends again what a server took shortly before an outage, where it is told to', async () => {
    const { server, kept, open } = rig(10);
    mirror = open(60_000);
    await until(isCurrent, (seen) => seen?.waiting === 0);
    await mirror.close();
    kept.push(reading(11));
    mirror = open(60_000);
    await until(isCurrent, (seen) => seen?.waiting === 0);
    expect(server.requests).toEqual([10, 11]);
  });

  it('holds receipt-stamped readings of this run until the clock is known, and no others', async () => {
    const stamped = (seq: number) => (seq % 2 === 0 ? readingFlags.receipt : 0);
    const { server, kept, state, open } = rig(10, stamped);
    state.holdFromSeq = 5;
    mirror = open();
    const held = await until(isCurrent, (seen) => seen?.waiting === 0);
    expect(held).toMatchObject({ held: true });
    const sent = () => server.taken.map(({ atMs }) => (atMs - dawnMs) / 1_000);
    expect(sent()).toEqual([1, 2, 3, 4, 5, 7, 9]);
    // What waited comes with the instants that it has by then, also after a restart.
    await mirror.close();
    kept[5] = { ...reading(6, readingFlags.receipt), atMs: dawnMs + 600_000 };
    state.holdFromSeq = null;
    mirror = open();
    await until(isCurrent, (seen) => seen?.held === false);
    expect(sent()).toEqual([1, 2, 3, 4, 5, 7, 9, 600, 8, 10]);
  });

  it('leaves out undated readings, which have no instant to be kept at', async () => {
    const { server, open } = rig(3, (seq) => (seq === 2 ? readingFlags.undated | readingFlags.receipt : 0));
    mirror = open();
    await until(isCurrent, (seen) => seen?.waiting === 0);
    expect(server.taken.map(({ atMs }) => (atMs - dawnMs) / 1_000)).toEqual([1, 3]);
  });

  it('sends what has no number any more by its instants, goes on there after a restart, and nothing of it twice', async () => {
    const { server, kept, state, open } = rig(20);
    // Of twenty readings the log has let ten go, and twelve are in blocks.
    state.unlogged = kept.slice(0, 12).map((each) => ({ ...each, inputSeq: 0 }));
    kept.splice(0, 10);
    state.unloggedTo = 10;
    state.past = {
      stretches: [{ probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 12_001 }],
      followFromSeq: 10,
      sealedSeqs: { jar: 12 },
    };
    server.rule = () =>
      server.taken.length < 6 ? { is: 'taken' } : { is: 'away', why: 'gone', againMs: null };
    mirror = open();
    await until(isCurrent, (seen) => seen?.state === 'away');
    await mirror.close();
    server.rule = () => ({ is: 'taken' });
    mirror = open();
    await until(isCurrent, (seen) => seen?.waiting === 0 && seen.state === 'current');
    expect(server.taken.map(({ atMs }) => (atMs - dawnMs) / 1_000)).toEqual(
      Array.from({ length: 20 }, (_, index) => index + 1),
    );
  });

  it('sets aside what the server refuses, counts it and says why', async () => {
    const { server, open } = rig(5);
    server.rule = (points) =>
      points.some(({ tempC }) => tempC === 3 / 16) ? { is: 'refused', why: '422 too old' } : { is: 'taken' };
    mirror = open();
    const view = await until(isCurrent, (seen) => seen?.waiting === 0);
    expect(view).toMatchObject({ state: 'current', setAside: 1, why: '422 too old' });
    expect(server.taken).toHaveLength(4);
  });
});
