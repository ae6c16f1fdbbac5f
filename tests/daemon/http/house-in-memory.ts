import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import type { HouseDesk, LiveListener } from '../../../daemon/http/desk.ts';
import type { HttpOptions } from '../../../daemon/http/server.ts';
import { buildHttp, openHttp } from '../../../daemon/http/server.ts';
import type { Health, LiveValue, ProbeView, WatchView } from '../../../shared/contract/api.ts';
import type { RecordEvent } from '../../../shared/contract/event.ts';

export const dawnMs = Date.UTC(2026, 4, 4, 6, 0, 0);

export const stranger = {
  source: 'broker',
  probe: 'churn',
  code: 'WIRE_PROBE',
  message:
    'probe must be one of the house file, got churn on broker. Add it there, or correct the id in the device.',
};
export const jar: ProbeView = {
  v: 1,
  id: 'jar',
  name: 'Jar of Plum',
  place: { id: 'chest', name: 'Chest freezer', kind: 'freezer' },
  vessel: { name: 'jar', volumeL: 0.95, material: 'glass' },
  source: 'broker',
  state: 'heard',
  latest: { atMs: dawnMs, tempC: 31.25, flags: 0 },
  intervalMs: 10_000,
  counts: { taken: 3, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 },
};

export const chill: WatchView = {
  v: 1,
  id: 'chill-jar-17',
  kind: 'chill',
  probe: 'jar',
  state: 'too-early',
  sinceMs: dawnMs,
  window: {
    limitC: 4.444,
    spanMs: 3_600_000,
    originMs: dawnMs,
    origin: 'insertion',
    deadlineMs: dawnMs + 3_600_000,
  },
  latest: { atMs: dawnMs, tempC: 31.25 },
  rateCPerMin: null,
  silentSinceMs: null,
  crossedAtMs: null,
  atDeadlineC: null,
  marginC: 0.5,
  forecast: null,
};

export const well: Health = {
  v: 1,
  ok: true,
  release: '0.1.0',
  sinceMs: dawnMs,
  clockKnown: true,
  inputSeq: 17,
  pending: 0,
  sources: [{ id: 'broker', state: 'open', why: '' }],
  faults: [],
};

/** A house that keeps its record in an array; `switches` makes its faults. */
export function houseInMemory() {
  const record: RecordEvent[] = [];
  const listeners = new Set<LiveListener>();
  const switches = { health: well, recordGone: false, deskMs: 0, endlessFile: false };
  const asked = { events: 0 };
  const said = new Map<string, number>();
  const desk: HouseDesk = {
    notify: {
      ways: async () => ({ v: 1, ways: [], receivers: [], proved: false }),
      testWay: async (id) => (id === 'bell' ? { v: 1, ok: true, why: '', provedAtMs: dawnMs } : null),
      matters: async () => ({ v: 1, matters: [] }),
      letters: async () => [],
      heard: (letterId) => letterId === 'letter-1',
    },
    house: () => ({
      v: 1,
      id: 'larkfell-7q2m',
      name: 'Larkfell',
      heightM: 1420,
      zone: 'UTC',
      units: 'F',
      simulated: false,
      places: [],
      nowMs: dawnMs,
      clockKnown: true,
      recordSeq: record.length,
      mirrors: [],
      disk: { historyBytes: 40_960, recordBytes: 20_480, freeBytes: 8_000_000_000 },
    }),
    probes: () => [jar],
    refusals: () => [stranger],
    plan: (ask) => ({ v: 1, asked: { ...ask, limitC: 40 / 9, marginC: 0.5, spanMin: 60 }, ways: [] }),
    watches: () => [chill],
    history: async ({ fromMs, toMs, points, snap }) => ({
      buckets: [{ fromMs, toMs: fromMs + (toMs - fromMs) / points, minC: 30, maxC: 32, meanC: 31, count: 3 }],
      edges: { fromMs: snap === 'none' ? fromMs : fromMs - 1, toMs },
      gaps: [{ fromMs: fromMs + 1, toMs }],
      damaged: [{ fromMs, toMs: fromMs + 1 }],
    }),
    notices: async ({ limit, beforeSeq = Number.POSITIVE_INFINITY }) =>
      [3, 2, 1]
        .filter((seq) => seq < beforeSeq)
        .slice(0, limit)
        .map((recordSeq) => ({
          v: 1,
          id: `n${recordSeq}`,
          recordSeq,
          atMs: dawnMs,
          weight: 'warn',
          code: 'chill-will-miss',
          watch: chill.id,
          probe: 'jar',
          text: 'Under 40 °F near 8:32, 50 minutes late.',
        })),
    noticesBetween: async ({ fromMs, toMs, limit }) =>
      (await desk.notices({ limit })).filter(({ atMs }) => atMs >= fromMs && atMs < toMs),
    keptSpan: async () => ({ firstMs: dawnMs - 60_000, lastMs: dawnMs }),
    lateStretches: async ({ fromMs }) => [{ fromMs, toMs: fromMs + 1, count: 1 }],
    exportFile: ({ probe, fromMs, toMs, form }) => ({
      name: `${probe}.csv`,
      mediaType: 'text/csv',
      text: fileText(switches, `${form} ${fromMs} ${toMs}\n`),
    }),
    async events({ afterSeq, limit }) {
      asked.events += 1;
      if (switches.recordGone) throw new Error('the reader is gone');
      return record.slice(afterSeq, afterSeq + limit);
    },
    async say({ id, word }) {
      if (word.kind === 'moved' && word.place === 'moon') {
        return { reason: 'unknown', code: 'WORD_PLACE', message: 'The place must be known, got moon.' };
      }
      if (word.kind === 'watch-end') {
        return { reason: 'refused', code: 'WORD_ENDED', message: 'The watch must be open, got ended.' };
      }
      if (word.kind === 'vessel-told') {
        return { reason: 'unavailable', code: 'DISK_FULL', message: 'The disk must have room, got none.' };
      }
      const already = said.has(id);
      const inputSeq = said.get(id) ?? said.size + 1;
      said.set(id, inputSeq);
      return { v: 1, inputSeq, already };
    },
    health: () => switches.health,
    live: {
      subscribe(listener) {
        listeners.add(listener);
        return () => listeners.delete(listener);
      },
    },
  };
  return {
    desk,
    record,
    switches,
    asked,
    listening: () => listeners.size,
    /** Keeps an event with so much text in it, and lets the listeners hear of it. */
    happen(chars = 8): RecordEvent {
      const event: RecordEvent = {
        v: 1,
        recordSeq: record.length + 1,
        kind: 'house-made',
        id: `house-made-${record.length}`,
        atMs: dawnMs,
        by: { kind: 'daemon', id: 'daemon' },
        about: {},
        because: [],
        body: { house: 'larkfell-7q2m', name: 'L'.repeat(chars) },
        prev: '',
        hash: '',
      };
      record.push(event);
      for (const listener of listeners) listener.event(event);
      return event;
    },
    change(value: LiveValue) {
      for (const listener of listeners) listener.value(value);
    },
  };
}

/** Options of a server for this desk, on a free port; a bug that it meets fails the test. */
export function optionsFor(desk: HouseDesk, more: Partial<HttpOptions> = {}): HttpOptions {
  return {
    desk,
    host: '127.0.0.1',
    port: 0,
    pageFolder: '/nowhere',
    release: '0.1.0',
    onBug: (error) => {
      throw error;
    },
    ...more,
  };
}

/** A server that is asked by `inject`, as if it listened on port 80. */
export async function injected(desk: HouseDesk, more: Partial<HttpOptions> = {}) {
  const { app } = await buildHttp(optionsFor(desk, { port: 80, ...more }));
  onTestFinished(async () => {
    await app.close();
  });
  return app;
}

/** A server that listens on a free port until the test ends. */
export async function listening(desk: HouseDesk, more: Partial<HttpOptions> = {}) {
  const server = await openHttp(optionsFor(desk, more));
  onTestFinished(() => server.close());
  return server;
}

/** A folder with these files, removed when the test ends. */
export async function folderWith(files: Readonly<Record<string, string>>): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'page-'));
  onTestFinished(() => rm(folder, { recursive: true }));
  for (const [name, text] of Object.entries(files)) {
    await mkdir(join(folder, name, '..'), { recursive: true });
    await writeFile(join(folder, name), text);
  }
  return folder;
}

/** A file of two pieces, or one that never ends. */
async function* fileText(
  switches: { endlessFile: boolean },
  line: string,
): AsyncGenerator<string, void, void> {
  do yield line;
  while (switches.endlessFile);
  yield line;
}
