/**
 * The whole house, wired by name, in the order in which a reading goes through it. Opening and closing are
 * written once, here.
 */
import { randomBytes } from 'node:crypto';
import type { SourceSink } from '../probes/source.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import { createEmbeddedBroker, type EmbeddedBroker } from './broker/embedded-broker.ts';
import { aliveMessage, noticeMessage, stateMessage, watchMessage } from './broker/out-topics.ts';
import { openOutsidePublisher } from './broker/outside-publisher.ts';
import type { Publisher } from './broker/publisher.ts';
import type { House } from './config/house-file.ts';
import { deskOf } from './house-desk.ts';
import { rulesOfHouse } from './house-rules.ts';
import { brokerSettings, sourcesOf } from './house-sources.ts';
import { noticeOf, speechOfHouse } from './house-views.ts';
import { openHttp } from './http/server.ts';
import { openIntake } from './intake/intake.ts';
import { openLiveDesk, outListener } from './live-desk.ts';
import { openLiveLoop } from './live-loop.ts';
import { type EraClock, openEraClock } from './open-clock.ts';
import { probeRuleOf } from './probe-rule.ts';
import { openReader } from './reader.ts';
import { openWriter, type Writer, type WriterOptions } from './writer.ts';

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
};

/** A house that runs. */
export type Springhouse = {
  id: string;
  /** Where the page is. */
  url: string;
  /** Where probes that speak MQTT connect; null where the house has no broker of its own. */
  brokerUrl: string | null;
  /** The number of the newest input that was committed and watched. */
  inputSeq(): number;
  /** Commits what waits, leaves the rest unacknowledged, keeps every watch, and lets go of everything. */
  close(): Promise<void>;
};

/** Opens a house; rejects where its data folder, ports or secrets cannot be had, with nothing left open. */
export async function openSpringhouse(options: SpringhouseOptions): Promise<Springhouse> {
  const closers: (() => unknown)[] = [];
  const close = async () => {
    for (const closer of closers.splice(0).reverse()) await closer();
  };
  try {
    return await openInOrder(options, closers, close);
  } catch (error) {
    await close();
    throw error;
  }
}

async function openInOrder(
  options: SpringhouseOptions,
  closers: (() => unknown)[],
  close: () => Promise<void>,
): Promise<Springhouse> {
  const { house, dataDir, log, onBug, release } = options;
  const speech = speechOfHouse(house);
  const writer = await openWriter({ dataDir, onGone: onBug, ...options.writer });
  closers.push(writer.close);
  const { id, clean } = await knowHouse(writer, house);
  const reader = await openReader({ dataDir, onGone: onBug });
  closers.push(reader.close);

  const faults = new Map<string, string>();
  const troubleOf = (what: string) => (error: Error | null) => {
    if (error === null) faults.delete(what);
    else if (faults.get(what) !== error.message) log(`${what}: ${error.message}`);
    if (error !== null) faults.set(what, error.message);
  };
  if (writer.opened.historyLost) {
    faults.set('history', 'HISTORY_LOST: history.db was gone and is begun anew; the record is whole.');
  }

  const clock: EraClock = await openEraClock({
    writer,
    trust: options.simulated ? 'always' : house.clock.trust,
    onTurn: (turn, keepEras) => {
      log(`clock: moved by ${turn.deltaMs} ms, ${turn.known ? 'known' : 'not known'}`);
      intake.turnClock(turn, keepEras).catch(troubleOf('clock'));
    },
  });
  closers.push(clock.close);

  // What the resume still has to say is heard once there is a desk to hear it.
  const resumed: RecordEvent[] = [];
  let heard = (events: RecordEvent[]): void => {
    resumed.push(...events);
  };
  const loop = await openLiveLoop({
    writer,
    rules: rulesOfHouse(house),
    nowMs: clock.nowMs,
    onRecorded: (events) => heard(events),
    onTrouble: troubleOf('record'),
  });
  const intake = openIntake({
    writer,
    clock,
    onInputs: (inputs) => {
      desk.see(inputs);
      return loop.take(inputs).catch(onBug);
    },
    onTrouble: troubleOf('history'),
    refusalOf: probeRuleOf(house),
    simulated: options.simulated,
  });
  loop.settledMs = intake.settledMs;

  const desk = await deskOf({
    ...options,
    id,
    speech,
    writer,
    reader,
    clock,
    loop,
    intake,
    faults,
    startedMs: clock.nowMs(),
  });
  const live = openLiveDesk({ changes: desk.changes });
  desk.onRecorded(live.tell);
  heard = desk.heard;
  heard(resumed);
  closers.push(live.close);
  closers.push(async () => {
    // What waits is committed, then what came of it is kept; what could not be stays unacknowledged.
    await intake.close();
    await loop.close();
    await writer.setMeta('closedMs', String(clock.nowMs()));
  });
  await intake.start({ release, aliveUntilMs: writer.opened.lastReceivedMs, clean });

  const broker =
    house.broker === null ? null : createEmbeddedBroker({ ...house.broker, id: 'broker', house: id });
  const sources = [...(broker === null ? [] : [broker]), ...(await sourcesOf({ ...options, id }))];
  for (const source of sources) {
    await source.open(options.sinkOf?.(intake) ?? intake);
    closers.push(() => source.close());
  }
  const publishers = await publishersOf(options, { id, broker, log });
  for (const publisher of publishers) closers.push(publisher.close);
  for (const publisher of publishers) {
    publisher.publish(aliveMessage(id, true));
    live.subscribe(
      outListener(
        {
          notice: (notice) => publisher.publish(noticeMessage(id, notice)),
          value: ({ kind, value }) =>
            publisher.publish(kind === 'probe' ? stateMessage(id, value) : watchMessage(id, value)),
        },
        (event) => noticeOf(event, speech),
      ),
    );
  }

  const http = await openHttp({
    desk: { ...desk.http, live: { subscribe: live.subscribe } },
    host: house.http.host,
    port: house.http.port,
    pageFolder: options.pageFolder,
    release,
    onBug: (error) => log(`http: ${String(error)}`),
  });
  closers.push(http.close);
  return { id, url: http.url, brokerUrl: broker?.url() ?? null, inputSeq: () => loop.inputSeq, close };
}

/** The house's id, made on its first day, and whether the last run was closed in order. */
async function knowHouse(writer: Writer, house: House): Promise<{ id: string; clean: boolean }> {
  const meta = await writer.meta();
  const clean = meta.closedMs !== undefined && meta.closedMs !== '';
  await writer.setMeta('closedMs', '');
  const known = meta.houseId;
  if (known !== undefined) return { id: known, clean };
  const id = `${readable(house.house.name)}-${randomBytes(3).toString('hex')}`;
  await writer.setMeta('houseId', id);
  await writer.appendOutcome({
    happenings: [
      {
        kind: 'house-made',
        id: 'house/house-made/1',
        atMs: Date.now(),
        by: { kind: 'daemon', id: 'house' },
        about: {},
        because: [],
        body: { house: id, name: house.house.name },
      },
    ],
    snapshots: [],
  });
  return { id, clean: true };
}

function readable(name: string): string {
  const plain = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 24);
  return plain === '' ? 'house' : plain;
}

async function publishersOf(
  options: SpringhouseOptions,
  { id, broker, log }: { id: string; broker: EmbeddedBroker | null; log: (line: string) => void },
): Promise<Publisher[]> {
  const outside = options.house.sources.filter((source) => source.kind === 'mqtt');
  const settings = await Promise.all(outside.map((source) => brokerSettings(source, { ...options, id })));
  const publishers = settings.map((each) =>
    openOutsidePublisher({
      ...each,
      clientId: `${each.clientId}-out`,
      onTrouble: (error) => log(`${each.id}: ${String(error)}`),
    }),
  );
  return broker === null ? publishers : [broker, ...publishers];
}
