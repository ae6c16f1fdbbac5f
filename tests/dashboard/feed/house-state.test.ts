import { describe, expect, it } from 'vitest';
import {
  type HouseInput,
  historyWishes,
  isLost,
  lostAfterMs,
  noticesMax,
  openedState,
  reduceHouse,
  speechOf,
} from '../../../dashboard/src/feed/house-state.ts';
import type { Notice } from '../../../shared/contract/api.ts';
import type { RecordEvent } from '../../../shared/contract/event.ts';
import { answersOf, morningMs } from '../../browser/fixture-states.ts';

const { chills: watches, house, notices, probes } = answersOf('several');
const lists: HouseInput = { kind: 'lists', askedMs: 1000, takenMs: 1200, house, probes, watches, notices };
const listed = reduceHouse(openedState(900), lists);

const missed: RecordEvent = {
  v: 1,
  recordSeq: 14,
  kind: 'chill-late',
  id: 'chill-jar-2-1/chill-late/1',
  atMs: morningMs,
  by: { kind: 'daemon', id: 'house' },
  about: { probe: ['jar-2'], watch: ['chill-jar-2-1'] },
  because: [],
  prev: '',
  hash: '',
  body: {
    weight: 'tell',
    watch: 'chill-jar-2-1',
    window: {
      limitC: 40 / 9,
      spanMs: 3_600_000,
      originMs: morningMs - 5_400_000,
      origin: 'milking',
      deadlineMs: morningMs - 1_800_000,
    },
    crossedAtMs: morningMs,
  },
};

function noticeOf(recordSeq: number): Notice {
  return {
    v: 1,
    id: `n${recordSeq}`,
    recordSeq,
    atMs: morningMs,
    weight: 'tell',
    code: 'chill-made',
    watch: null,
    probe: null,
    text: 'made',
  };
}

describe('the state of the page', () => {
  it('sets its clock to the house’s, as it was in the middle of the question', () => {
    expect(listed.offsetMs).toBe(house.nowMs - 1100);
  });

  it('speaks in the units, the zone and the names of the house', () => {
    expect(speechOf(listed)).toEqual({
      language: 'en',
      units: 'F',
      zone: 'America/Denver',
      names: Object.fromEntries(probes.map((probe) => [probe.id, probe.name])),
    });
  });

  it('drops what a later list no longer holds', () => {
    const later = reduceHouse(listed, { ...lists, askedMs: 5000, takenMs: 5100, watches: [] });
    expect([...later.watches.keys()]).toEqual([]);
  });

  it('keeps what the feed brought after the list was asked for', () => {
    const [watch] = watches;
    if (watch === undefined) throw new Error('the fixture must have a watch');
    const fed = reduceHouse(listed, {
      kind: 'value',
      takenMs: 5050,
      value: { kind: 'watch', value: { ...watch, state: 'made' } },
    });
    const later = reduceHouse(fed, { ...lists, askedMs: 5000, takenMs: 5100 });
    expect(later.watches.get(watch.id)?.view.state).toBe('made');
  });

  it('extends the curve of a watched probe by its last value, and keeps none of the others', () => {
    const [probe] = probes;
    if (probe?.latest == null) throw new Error('the fixture must have a reading');
    const history = { v: 1 as const, probe: probe.id, fromMs: 0, toMs: morningMs, buckets: [] };
    const drawn = reduceHouse(listed, { kind: 'history', takenMs: 1300, history });
    const latest = { ...probe.latest, atMs: morningMs + 5000, tempC: 27 };
    const fed = reduceHouse(drawn, {
      kind: 'value',
      takenMs: 1400,
      value: { kind: 'probe', value: { ...probe, latest } },
    });
    expect(Object.fromEntries(fed.curves)).toEqual({
      [probe.id]: { points: [{ atMs: morningMs + 5000, tempC: 27 }], spacingMs: 0 },
    });
  });

  it('wants a history again when the feed has leapt over readings, or some came late', () => {
    const [view] = watches;
    const probe = probes.find((one) => one.id === view?.probe);
    if (view === undefined || probe?.latest == null)
      throw new Error('the fixture must have a watched reading');
    const { latest } = probe;
    const bucket = { fromMs: latest.atMs - 1000, toMs: latest.atMs, minC: 28, maxC: 28, meanC: 28, count: 1 };
    const history = { v: 1 as const, probe: probe.id, fromMs: 0, toMs: morningMs, buckets: [bucket] };
    const drawn = reduceHouse(listed, { kind: 'history', takenMs: 1300, history });
    const later = (atMs: number, late: number) =>
      reduceHouse(drawn, {
        kind: 'value',
        takenMs: 1400,
        value: {
          kind: 'probe',
          value: { ...probe, latest: { ...latest, atMs }, counts: { ...probe.counts, late } },
        },
      });
    const wished = (state: typeof listed) => historyWishes(state, morningMs)[0];
    expect(wished(drawn)).toEqual({
      probe: probe.id,
      fromMs: view.window.originMs - 120_000,
      lack: 'break null, late 0',
    });
    expect(wished(later(latest.atMs + 5000, 0))?.lack).toBe('break null, late 0');
    expect(wished(later(latest.atMs + 400_000, 0))?.lack).toBe(`break ${latest.atMs + 400_000}, late 0`);
    expect(wished(later(latest.atMs + 5000, 2))?.lack).toBe('break null, late 2');
  });

  it('wants half a day of what is kept, and a chill’s own hour before that', () => {
    const kept = answersOf('mixed');
    const state = reduceHouse(openedState(900), { ...lists, ...kept, kind: 'lists', takenMs: 1200 });
    const fromOf = new Map(historyWishes(state, morningMs).map(({ fromMs, probe }) => [probe, fromMs]));
    expect(fromOf.get('larder-water')).toBe(morningMs - 12 * 3_600_000);
    expect(fromOf.get('jar-2')).toBe((kept.chills[0]?.window.originMs ?? 0) - 120_000);
  });

  it('says a notice of the record in the house’s own units, newest first and once', () => {
    const input: HouseInput = { kind: 'record', takenMs: 1300, event: missed };
    const told = reduceHouse(reduceHouse(listed, input), input);
    expect(told.notices.map(({ code, recordSeq, text }) => ({ code, recordSeq, text }))).toEqual([
      {
        code: 'chill-late',
        recordSeq: 14,
        text: 'Jar 2: under 40\u00a0°F at 7:04, 30 minutes late. Cold slows germs, it does not remove them.',
      },
      { code: 'chill-will-miss', recordSeq: 11, text: 'Jar 2: under 40 °F near 8:33, 51 minutes late.' },
    ]);
  });

  it('leaves events that speak to nobody out of the notices', () => {
    const stopped = { ...missed, kind: 'house-stopped', id: 'stop', body: {} } as RecordEvent;
    expect(reduceHouse(listed, { kind: 'record', takenMs: 1300, event: stopped }).notices).toEqual(notices);
  });

  it('keeps no more notices than its limit', () => {
    const many = Array.from({ length: noticesMax + 7 }, (_, index) => noticeOf(index + 1));
    const kept = reduceHouse(openedState(900), { ...lists, notices: many }).notices;
    expect([kept.length, kept[0]?.recordSeq, kept.at(-1)?.recordSeq]).toEqual([
      noticesMax,
      noticesMax + 7,
      8,
    ]);
  });

  it('is lost after a long quiet, and found again by any message', () => {
    expect(isLost(listed, 1200 + lostAfterMs)).toBe(false);
    expect(isLost(listed, 1201 + lostAfterMs)).toBe(true);
    const found = reduceHouse(listed, { kind: 'record', takenMs: 30_000, event: missed });
    expect(isLost(found, 30_001)).toBe(false);
  });

  it('changes no state that it was given', () => {
    const before = structuredClone(listed);
    reduceHouse(listed, { kind: 'record', takenMs: 1300, event: missed });
    expect(listed).toEqual(before);
  });
});
