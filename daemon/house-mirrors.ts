/** The mirrors of a house file, each with its cursor among the house's notes. Wiring. */
import type { MirrorView } from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import type { House } from './config/house-file.ts';
import { readAuthority, readToken } from './config/secret.ts';
import { openInfluxServer } from './mirror/influx-server.ts';
import { type Mirror, openMirror } from './mirror/mirror.ts';
import type { MirrorSource } from './mirror/mirror-readings.ts';
import type { MirrorServer } from './mirror/mirror-server.ts';
import type { EraClock } from './open-clock.ts';
import { openProbePlaces } from './probe-places.ts';
import type { Reader } from './reader.ts';
import type { Troubles } from './troubles.ts';
import type { Writer } from './writer.ts';

export type HouseMirrorsOptions = {
  house: House;
  id: string;
  folder: string;
  writer: Writer;
  reader: Reader;
  clock: EraClock;
  troubles: Troubles;
  /** The number of the newest kept input. */
  newestSeq: () => number;
};

export type HouseMirrors = {
  views(): MirrorView[];
  /** Takes events of the record as they are kept. */
  hear(events: readonly RecordEvent[]): void;
  close(): Promise<void>;
};

/** Events of the record read in one go while the places are gathered. */
const eventsPerAsk = 1_000;

/** Opens every mirror of the house; rejects where a token or certificate cannot be read. */
export async function openHouseMirrors(options: HouseMirrorsOptions): Promise<HouseMirrors> {
  const { house, reader, writer } = options;
  if (house.mirrors.length === 0) return { views: () => [], hear: () => {}, close: async () => {} };
  const usual = new Map(house.probes.map(({ id, place }) => [id, place]));
  const places = openProbePlaces((probe) => usual.get(probe) ?? null);
  for (let seq = 0; ; ) {
    const events = await reader.eventsAfter(seq, eventsPerAsk);
    places.hear(events);
    seq = events.at(-1)?.recordSeq ?? seq;
    if (events.length < eventsPerAsk) break;
  }
  const servers = await Promise.all(house.mirrors.map((settings) => serverOf(settings, options)));
  const notes = await writer.meta();
  const mirrors = house.mirrors.map((settings, index) =>
    mirrorOf(settings, {
      ...options,
      server: servers[index] as MirrorServer,
      keptCursor: notes[noteOf(settings.id)] ?? null,
      placeOf: places.placeOf,
    }),
  );
  return {
    views: () => mirrors.map((mirror) => mirror.view()),
    hear: places.hear,
    close: async () => {
      await Promise.all(mirrors.map((mirror) => mirror.close()));
    },
  };
}

type Settings = House['mirrors'][number];

async function serverOf(
  settings: Settings,
  { id: house, folder }: HouseMirrorsOptions,
): Promise<MirrorServer> {
  const { id, url, org, bucket, tokenFile, tokenEnv, caFile } = settings;
  const token = await readToken({ mirrorId: id, tokenFile, tokenEnv, folder });
  if (!token.ok) throw new Error(token.message);
  const authority = await readAuthority({ owner: `mirror ${id}`, caFile, folder });
  if (!authority.ok) throw new Error(authority.message);
  return openInfluxServer({ url, org, bucket, token: token.secret, ca: authority.pem, house });
}

function mirrorOf(
  { id, everyMs, resendMs }: Settings,
  options: HouseMirrorsOptions & {
    server: MirrorServer;
    keptCursor: string | null;
    placeOf: (probe: string, atMs: number) => string | null;
  },
): Mirror {
  const { clock, reader, writer, troubles, server, keptCursor, placeOf, newestSeq } = options;
  // Receipt stamps of this run may still move while its clock is not known; those of earlier runs do not.
  const firstSeq = writer.opened.nextInputSeq;
  return openMirror({
    id,
    server,
    source: sourceOf(reader),
    placeOf,
    newestSeq,
    holdFromSeq: () => (clock.known() ? null : firstSeq),
    keepCursor: (text) => writer.setMeta(noteOf(id), text),
    keptCursor,
    nowMs: clock.nowMs,
    everyMs,
    resendMs,
    onTrouble: (error) => troubles.note(`mirror ${id}`, error),
  });
}

function noteOf(mirror: string): string {
  return `mirror:${mirror}`;
}

function sourceOf(reader: Reader): MirrorSource {
  return {
    readingsAfter: reader.numberedAfter,
    pastAfter: reader.unloggedAfter,
    readingsOf: async ({ probe, fromMs, toMs }) => {
      for await (const slice of reader.rawRange({ probe, fromMs, toMs })) {
        // What has a number still comes in its turn.
        const sealed = slice.filter(({ inputSeq }) => inputSeq === null);
        const readings = sealed.map(({ atMs, tempC, flags }) => ({
          inputSeq: 0,
          probe,
          atMs,
          tempC,
          flags,
          receivedMs: atMs,
        }));
        return { readings, nextMs: (slice.at(-1)?.atMs ?? toMs) + 1 };
      }
      return { readings: [], nextMs: null };
    },
  };
}
