/** What the house can be asked of how it speaks up. Wiring. */
import { isNotice } from '../shared/contract/event.ts';
import type { LetterLine, MatterView } from '../shared/contract/notify.ts';
import { eventSentence } from '../shared/sentences/event-sentence.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { House } from './config/house-file.ts';
import { pageWayId } from './config/house-ways.ts';
import { mannersOfHouse, wayViewOf, writeLetter } from './house-ways.ts';
import type { NotifyDesk } from './http/notify-routes.ts';
import type { Dispatcher } from './notify/dispatcher.ts';
import type { Matter } from './notify/manners/state.ts';
import type { JournalRow } from './notify/outbox-letters.ts';
import type { Way } from './notify/way.ts';
import type { PageWay } from './notify/ways/page-way.ts';
import type { Reader } from './reader.ts';
import type { Writer } from './writer.ts';

export type NotifyDeskOptions = {
  house: House;
  id: string;
  simulated: boolean;
  speech: Speech;
  writer: Pick<Writer, 'ways' | 'journal' | 'openMatters'>;
  reader: Pick<Reader, 'eventsAfter'>;
  dispatcher: Pick<Dispatcher, 'test'>;
  ways: readonly Way[];
  page: PageWay;
  nowMs: () => number;
};

/** Answers from the outbox and the ways. */
export function openNotifyDesk(options: NotifyDeskOptions): NotifyDesk {
  const { house, writer, ways, dispatcher, page, nowMs } = options;
  const rules = mannersOfHouse(house);
  const wayViews = async () => {
    const states = await writer.ways(ways.map(({ id }) => id));
    return ways.flatMap((way, index) => {
      const state = states[index];
      return state === undefined ? [] : [wayViewOf(way, state, rules)];
    });
  };
  return {
    ways: async () => {
      const views = await wayViews();
      return {
        v: 1,
        ways: views,
        receivers: rules.receivers.map(({ id, name, ways: own }) => ({ id, name, ways: [...own] })),
        proved: views.some(
          ({ id, provedAtMs, failingSinceMs }) =>
            id !== pageWayId && provedAtMs !== null && failingSinceMs === null,
        ),
      };
    },
    testWay: async (id) => {
      const way = ways.find((each) => each.id === id);
      if (way === undefined) return null;
      const sent = await dispatcher.test(id, testLetter(options, way));
      const [state] = await writer.ways([id]);
      return {
        v: 1,
        ok: sent.is === 'sent',
        why: sent.is === 'sent' ? '' : sent.why,
        provedAtMs: state?.provedAtMs ?? null,
      };
    },
    matters: async () => ({ v: 1, matters: await mattersOf(options) }),
    letters: async ({ limit, beforeSeq }) =>
      (await writer.journal(limit, beforeSeq ?? null)).map((row) => lineOf(row, options)),
    heard: page.heard,
  };

  function testLetter({ speech, simulated, id }: NotifyDeskOptions, way: Way) {
    const atMs = nowMs();
    const receiver = rules.receivers.find(({ ways: own }) => own.includes(way.id))?.id ?? 'house';
    const draft = {
      id: `test/${way.id}/${atMs}`,
      receiver,
      way: way.id,
      matter: null,
      weight: 'tell',
      why: 'test',
    } as const;
    return writeLetter(
      { ...draft, more: 0, events: [], madeAtMs: atMs },
      { house, id, simulated, speech, recorded: true },
    );
  }
}

async function mattersOf({ writer, reader, speech }: NotifyDeskOptions): Promise<MatterView[]> {
  const matters = await writer.openMatters();
  const views = await Promise.all(
    matters.slice(0, mattersShownMax).map(async (matter): Promise<MatterView[]> => {
      const [event] = await reader.eventsAfter(matter.recordSeq - 1, 1);
      if (event === undefined || !isNotice(event)) return [];
      return [viewOf(matter, eventSentence(event, speech))];
    }),
  );
  return views.flat();
}

/** Matters in one answer, the heaviest first; a house in which more stand open has them in its record. */
const mattersShownMax = 50;

function viewOf(matter: Matter, text: string): MatterView {
  const { id, watch, probe, weight, code, openedMs, seen, snoozedToMs, remindAtMs } = matter;
  return { v: 1, id, watch, probe, weight, code, sinceMs: openedMs, text, seen, snoozedToMs, remindAtMs };
}

function lineOf(row: JournalRow, { house, id, simulated, speech }: NotifyDeskOptions): LetterLine {
  const { subject } = writeLetter(row, { house, id, simulated, speech, recorded: true });
  return {
    v: 1,
    id: row.id,
    letterSeq: row.letterSeq,
    receiver: row.receiver,
    way: row.way,
    why: row.why,
    weight: row.weight,
    madeAtMs: row.madeAtMs,
    sentAtMs: row.state === 'sent' ? row.settledMs : null,
    state: row.state,
    fault: row.fault,
    subject,
  };
}
