/** The house's voice as it runs: outbox, manners, ways, one dispatcher, from opening to close. Wiring. */
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { Publisher } from './broker/publisher.ts';
import type { House } from './config/house-file.ts';
import { pageWayId } from './config/house-ways.ts';
import { keyOf, letterWriter, mannersOfHouse, openWays } from './house-ways.ts';
import type { NotifyDesk } from './http/notify-routes.ts';
import { type AllWell, openAllWell } from './notify/all-well.ts';
import { type Dispatcher, type LetterStore, openDispatcher, type WayTurn } from './notify/dispatcher.ts';
import { openEmergency } from './notify/emergency.ts';
import type { Way } from './notify/way.ts';
import { openPageWay, type PageWay } from './notify/ways/page-way.ts';
import { openNotifyDesk } from './notify-desk.ts';
import type { Reader } from './reader.ts';
import type { Writer } from './writer.ts';

export type SpeakingOptions = {
  house: House;
  id: string;
  folder: string;
  simulated: boolean;
  speech: Speech;
  writer: Writer;
  nowMs: () => number;
  /** Hears of events that the ways caused, after they are kept. */
  onRecorded: (events: RecordEvent[]) => void;
  onTrouble: (error: Error | null) => void;
  /** The broker of this house; null where it has none. */
  broker: Pick<Publisher, 'publish'> | null;
  reader: Reader;
  /** Whether readings can be kept now, and how many watches are open, for the watcher outside. */
  state: () => { ok: boolean; watches: number };
  /** For proofs: what stands between the ways and the outbox. */
  storeOf?: (store: LetterStore) => LetterStore;
};

export type Speaking = Pick<Dispatcher, 'wake' | 'idle' | 'close'> & {
  /** What can be asked of it over HTTP. */
  desk: NotifyDesk;
  page: PageWay;
  /** Tells people of notices that the disk refused to keep; the letters say so. */
  tellUnrecorded(notices: readonly Happening[]): void;
};

/** Opens every way and begins to bring what waits. Rejects where a secret cannot be had. */
export async function openSpeaking(options: SpeakingOptions): Promise<Speaking> {
  const { house, writer, nowMs, onRecorded, onTrouble } = options;
  const page = openPageWay({ id: pageWayId });
  const ways: readonly Way[] = [...(await openWays(options)), page];
  const rules = mannersOfHouse(house);
  const emergency = openEmergency({
    rules,
    nowMs,
    send: async (letter) => {
      const way = ways.find(({ id }) => id === letter.way);
      const written = letterWriter(options, false)({ ...letter, letterSeq: 0 });
      return way === undefined ? { is: 'refused', why: 'there is no such way' } : way.send(written);
    },
  });
  const dispatcher = openDispatcher({
    wasSent: emergency.wasSent,
    store: options.storeOf?.(writer) ?? writer,
    ways,
    known: await writer.ways(ways.map(({ id }) => id)),
    nowMs,
    render: letterWriter(options),
    onTurned: (turn) => void tellTurn(turn),
    onTrouble,
  });

  /** That a way fails, or works again, is an event of the record and told by the others. */
  async function tellTurn(turn: WayTurn): Promise<void> {
    const instead = rules.receivers.flatMap((receiver) =>
      receiver.ways.includes(turn.way.id) ? receiver.ways.filter((way) => way !== turn.way.id) : [],
    );
    const happenings = [turnEvent(turn, [...new Set(instead)])];
    const kept = await writer
      .appendOutcome({ happenings, snapshots: [], nowMs: turn.nowMs })
      .catch((error: Error) => {
        onTrouble(error);
        return [];
      });
    if (kept.length > 0) onRecorded(kept);
    dispatcher.wake();
  }

  const allWell = await openWatcher(options);
  dispatcher.wake();
  return {
    ...dispatcher,
    page,
    tellUnrecorded: (notices) => void emergency.tell(notices).catch(onTrouble),
    desk: openNotifyDesk({ ...options, dispatcher, ways, page }),
    close: async () => {
      allWell?.close();
      await dispatcher.close();
    },
  };
}

/** Tells the watcher outside, where the house file names one. */
async function openWatcher(options: SpeakingOptions): Promise<AllWell | null> {
  const { house, id, folder, nowMs, state, onTrouble } = options;
  if (house.watcher === null) return null;
  const { url, everyMs, evenIfTroubled, secretFile: file, secretEnv: env } = house.watcher;
  const key = await keyOf({ owner: 'the watcher', file, env }, folder);
  return openAllWell({ url, key, everyMs, evenIfTroubled, house: id, nowMs, state, onTrouble });
}

function turnEvent(turn: WayTurn, instead: string[]): Happening {
  const { id: way, kind: wayKind } = turn.way;
  const head = {
    atMs: turn.nowMs,
    by: { kind: 'daemon', id: 'notify' } as const,
    about: {},
    because: [],
  };
  if (turn.is === 'failing') {
    const body = { weight: 'tell', watch: null, way, wayKind, why: turn.why, instead } as const;
    return { ...head, kind: 'way-failed', id: `way-${way}/way-failed/${turn.sinceMs}`, body };
  }
  const failedMs = Math.max(0, turn.nowMs - turn.sinceMs);
  const body = { weight: 'tell', watch: null, way, wayKind, failedMs } as const;
  return { ...head, kind: 'way-works', id: `way-${way}/way-works/${turn.sinceMs}`, body };
}
