/**
 * The whole house, wired by name, in the order in which a reading goes through it. Opening and closing are
 * written once, here.
 */
import type { SourceSink } from '../probes/source.ts';
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import { createEmbeddedBroker } from './broker/embedded-broker.ts';
import { aliveMessage } from './broker/out-topics.ts';
import type { Publisher } from './broker/publisher.ts';
import type { ClockOptions } from './clock/clock.ts';
import type { House } from './config/house-file.ts';
import { type DiskAlarmOptions, openDiskAlarm } from './disk-alarm.ts';
import { openDiskUse } from './disk-use.ts';
import { deskOf } from './house-desk.ts';
import { openHouseMirrors } from './house-mirrors.ts';
import { type HousePeople, openHousePeople } from './house-people.ts';
import { rulesOfHouse } from './house-rules.ts';
import { publishersOf, sourcesOf } from './house-sources.ts';
import { noticeOf, speechOfHouse } from './house-views.ts';
import { mannersOfHouse } from './house-ways.ts';
import type { LiveListener } from './http/desk.ts';
import { type HttpServer, openHttp } from './http/server.ts';
import { openIntake } from './intake/intake.ts';
import { knowHouse, tellLosses } from './know-house.ts';
import { openLiveDesk, outListener } from './live-desk.ts';
import { openLiveLoop } from './live-loop.ts';
import type { LetterStore } from './notify/dispatcher.ts';
import { openEraClock } from './open-clock.ts';
import { createHouseDoors, type HouseDoors } from './open-doors.ts';
import { probeRuleOf } from './probe-rule.ts';
import { openReader } from './reader.ts';
import { openSpeaking, type Speaking } from './speaking.ts';
import { openTroubles } from './troubles.ts';
import { openUnrecorded } from './unrecorded.ts';
import { standingOf } from './watch/standing.ts';
import { openWriter, type WriterOptions } from './writer.ts';

export type SpringhouseOptions = {
  house: House;
  /** The folder that relative paths of the house file count from. */
  folder: string;
  dataDir: string;
  pageFolder: string;
  release: string;
  /** True where every reading is invented. */
  simulated: boolean;
  /** One line for the log of the service. */
  log: (line: string) => void;
  /** Hears of what must end the daemon: a thread that is gone, a bug. */
  onBug: (error: unknown) => void;
  /** For proofs: what stands between the wires and the intake. */
  sinkOf?: (intake: SourceSink) => SourceSink;
  /** For proofs and benches. */
  writer?: Pick<WriterOptions, 'commitDelayMs' | 'failNthWrite' | 'failWrites'>;
  /** For proofs: a machine whose clock is set by hand. */
  clock?: Pick<ClockOptions, 'system' | 'everyMs'>;
  /** For tests: how soon a disk that refuses is told of. */
  diskAlarm?: Pick<DiskAlarmOptions, 'afterMs' | 'everyMs'>;
  /** For proofs: what stands between the ways and the outbox. */
  storeOf?: (store: LetterStore) => LetterStore;
};

/** A house that runs. */
export type Springhouse = {
  id: string;
  /** Where the page is. */
  url: string;
  /** True where this folder had no house before. */
  isNew: boolean;
  /** Its doors to the network; null in a demo, which has none. */
  doors: HouseDoors | null;
  /** Where probes that speak MQTT connect; null where the house has no broker of its own. */
  brokerUrl: string | null;
  /** The number of the newest input that was committed and watched. */
  inputSeq(): number;
  /** Resolves where both threads answer: the house does its work, though the disk may refuse. */
  pulse(): Promise<void>;
  /** Commits what waits, leaves the rest unacknowledged, keeps every watch, and lets go of everything. */
  close(): Promise<void>;
};

type Closers = (() => unknown)[];

/** Opens a house; rejects where its data folder, ports or secrets cannot be had, with nothing left open. */
export async function openSpringhouse(options: SpringhouseOptions): Promise<Springhouse> {
  const closers: Closers = [];
  try {
    const files = await openFiles(options, closers);
    const rooms = await openRooms(options, files, closers);
    const household = await openHousePeople(files.writer, files.clock.nowMs);
    const wires = await openWires(options, { ...rooms, household }, closers);
    const speaking = await openVoice(options, { files, rooms, broker: wires.broker }, closers);
    const doors = options.simulated
      ? null
      : createHouseDoors({ ...options, ...files, household, nowMs: files.clock.nowMs });
    const http = await openPage(options, { rooms, speaking, doors }, closers);
    if (doors !== null) {
      closers.push(doors.close);
      await doors.start({ http, broker: wires.broker });
    }
    return {
      id: files.id,
      url: http.url,
      isNew: files.isNew,
      doors,
      brokerUrl: wires.broker?.url() ?? null,
      inputSeq: () => rooms.loop.inputSeq,
      pulse: async () => {
        await Promise.allSettled([files.writer.meta(), files.reader.noticesLast(1, null)]);
      },
      close: () => closeAll(closers),
    };
  } catch (error) {
    await closeAll(closers);
    throw error;
  }
}

/** Closes in the reverse order of opening; one that fails keeps no other from being closed. */
async function closeAll(closers: Closers): Promise<void> {
  const failed: unknown[] = [];
  for (const closer of closers.splice(0).reverse()) {
    try {
      await closer();
    } catch (error) {
      failed.push(error);
    }
  }
  if (failed.length > 0) throw failed[0];
}

type Files = Awaited<ReturnType<typeof openFiles>>;

/** The data folder: the writer, the reader, and who the house is. */
async function openFiles({ house, dataDir, log, onBug, ...options }: SpringhouseOptions, closers: Closers) {
  const manners = mannersOfHouse(house);
  const writer = await openWriter({ dataDir, manners, onGone: onBug, ...options.writer });
  closers.push(writer.close);
  const reader = await openReader({ dataDir, onGone: onBug });
  closers.push(reader.close);
  const troubles = openTroubles(log);
  tellLosses(writer, troubles);
  const trust = options.simulated ? 'always' : house.clock.trust;
  const clock = await openEraClock({
    ...options.clock,
    writer,
    trust,
    notBeforeMs: writer.opened.lastReceivedMs,
  });
  closers.push(clock.close);
  const known = await knowHouse(writer, { name: house.house.name, nowMs: clock.nowMs() });
  return { writer, reader, troubles, clock, ...known };
}

type Rooms = Awaited<ReturnType<typeof openRooms>>;

/** From the intake to the live feed. */
async function openRooms(options: SpringhouseOptions, files: Files, closers: Closers) {
  const { house, log, onBug, release, simulated } = options;
  const { writer, troubles, clock, id, clean } = files;
  const speech = speechOfHouse(house);
  const startedMs = clock.nowMs();

  // What the resume still has to say is heard once there is a desk to hear it.
  const resumed: RecordEvent[] = [];
  let heard = (events: RecordEvent[]): void => {
    resumed.push(...events);
  };
  // Letters are written with their events; once there is a voice it is told to look.
  const kept = { tell: (): void => {}, tellUnrecorded: (_notices: readonly Happening[]): void => {} };
  const unrecorded = openUnrecorded({
    lanes: () => loop.lanes(),
    inputSeq: () => loop.inputSeq,
    rules: rulesOfHouse(house),
    tell: (notices) => kept.tellUnrecorded(notices),
  });
  const loop = await openLiveLoop({
    writer,
    rules: rulesOfHouse(house),
    nowMs: clock.nowMs,
    onRecorded: (events) => heard(events),
    onUnkept: (happenings) => unrecorded.hear(happenings),
    onTrouble: (error) => troubles.tell('record', error),
  });
  const intake = openIntake({
    writer,
    clock,
    onInputs: (inputs) => {
      desk.see(inputs);
      return loop.take(inputs).catch(onBug);
    },
    onTrouble: (error) => {
      troubles.tell('history', error);
      if (error === null) unrecorded.over();
    },
    onUncommitted: (readings) => unrecorded.see(readings),
    refusalOf: probeRuleOf(house),
    standing: () => standingOf(loop.lanes(), clock.nowMs()),
    simulated,
  });
  loop.settledMs = intake.settledMs;

  const mirrors = await openHouseMirrors({ ...options, ...files, newestSeq: () => loop.inputSeq });
  closers.push(mirrors.close);
  const shown = { mirrors: mirrors.views, disk: openDiskUse(options.dataDir) };
  const desk = await deskOf({
    ...files,
    ...shown,
    house,
    speech,
    simulated,
    release,
    startedMs,
    loop,
    intake,
  });
  const live = openLiveDesk({ changes: desk.changes });
  desk.onRecorded(live.tell);
  heard = (events) => {
    mirrors.hear(events);
    desk.heard(events);
    kept.tell();
  };
  heard(resumed);
  closers.push(live.close);
  closers.push(async () => {
    // What waits is committed, then what came of it is kept; what could not be stays unacknowledged.
    await intake.close();
    await loop.close();
    await writer.setMeta('closedMs', String(clock.nowMs()));
  });
  clock.follow((turn, keepEras) => {
    log(`clock: moved by ${turn.deltaMs} ms, ${turn.known ? 'known' : 'not known'}`);
    void intake.turnClock(turn, keepEras);
  });
  await intake.start({ release, aliveUntilMs: writer.opened.lastReceivedMs, clean });
  return { id, speech, loop, intake, desk, live, kept, heard: (events: RecordEvent[]) => heard(events) };
}

/** The wires in and the topics out; returns the house's own broker, null where it has none. */
async function openWires(
  options: SpringhouseOptions,
  { id, speech, intake, live, household }: Rooms & { household: HousePeople },
  closers: Closers,
) {
  const { broker: settings } = options.house;
  const broker =
    settings === null
      ? null
      : createEmbeddedBroker({ ...settings, id: 'broker', house: id, keys: household.keys });
  const wires = { ...options, id };
  const sources = [...(broker === null ? [] : [broker]), ...(await sourcesOf(wires))];
  for (const source of sources) {
    await source.open(options.sinkOf?.(intake) ?? intake);
    closers.push(() => source.close());
  }
  const publishers = [...(broker === null ? [] : [broker]), ...(await publishersOf(wires, options.log))];
  for (const publisher of publishers) {
    closers.push(publisher.close);
    publisher.publish(aliveMessage(id, true));
    live.subscribe(outListener(publisher, { house: id, noticeOf: (event) => noticeOf(event, speech) }));
  }
  return { broker };
}

/** The ways on which the house speaks to people. */
async function openVoice(
  options: SpringhouseOptions,
  { files, rooms, broker }: { files: Files; rooms: Rooms; broker: Pick<Publisher, 'publish'> | null },
  closers: Closers,
): Promise<Speaking> {
  const { writer, reader, troubles, clock, id } = files;
  const { speech, loop, kept, heard } = rooms;
  const speaking = await openSpeaking({
    ...options,
    id,
    speech,
    writer,
    reader,
    broker,
    nowMs: clock.nowMs,
    state: () => ({ ok: !troubles.any, watches: loop.watches().length }),
    onRecorded: heard,
    onTrouble: (error) => troubles.tell('notify', error),
  });
  closers.push(speaking.close);
  kept.tell = speaking.wake;
  kept.tellUnrecorded = speaking.tellUnrecorded;
  const { tellUnrecorded } = speaking;
  const alarm = openDiskAlarm({
    ...options.diskAlarm,
    troubles,
    writer,
    nowMs: clock.nowMs,
    tellUnrecorded,
    onRecorded: heard,
  });
  closers.push(alarm.close);
  return speaking;
}

/** The page and the API. */
async function openPage(
  { house, pageFolder, release, log }: SpringhouseOptions,
  { rooms: { desk, live }, speaking, doors }: { rooms: Rooms; speaking: Speaking; doors: HouseDoors | null },
  closers: Closers,
): Promise<HttpServer> {
  // Whoever reads the live feed is an open page, to which letters go, too.
  const subscribe = (listener: LiveListener): (() => void) => {
    const leaves = [
      live.subscribe(listener),
      speaking.page.subscribe((value) => listener.value({ kind: 'letter', value })),
    ];
    return () => {
      for (const leave of leaves) leave();
    };
  };
  const http = await openHttp({
    desk: { ...desk.http, notify: speaking.desk, live: { subscribe } },
    host: house.http.host,
    port: house.http.port,
    pageFolder,
    release,
    ...(doors === null ? {} : { people: doors.people, owner: doors.owner }),
    onBug: (error) => log(`http: ${String(error)}`),
  });
  closers.push(http.close);
  return http;
}
