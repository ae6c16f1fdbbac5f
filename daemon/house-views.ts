/** How the house is shown: views of probes and notices from what the rooms know. Wiring. */
import type { Notice, ProbeCounts, ProbeView } from '../shared/contract/api.ts';
import { isNotice, type RecordEvent } from '../shared/contract/event.ts';
import type { Reading } from '../shared/contract/input.ts';
import { eventSentence } from '../shared/sentences/event-sentence.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { House } from './config/house-file.ts';
import type { Lane } from './watch/lane.ts';
import { silentAfterMs, usualMs } from './watch/rhythm.ts';

/** In whose words the house itself speaks. */
export function speechOfHouse(house: House): Speech {
  const names = Object.fromEntries(house.probes.map(({ id, name }) => [id, name]));
  return { language: 'en', units: house.house.units, zone: house.house.zone, names };
}

export type ProbeFacts = {
  id: string;
  latest: Reading | null;
  lane: Lane | null;
  counts: ProbeCounts;
  nowMs: number;
};

/** How a probe is shown; one that the house file does not name goes by its id. */
export function probeViewOf(house: House, { id, latest, lane, counts, nowMs }: ProbeFacts): ProbeView {
  const probe = house.probes.find((known) => known.id === id);
  const placeId = lane?.sitting?.place ?? probe?.place ?? null;
  const place = house.places.find((known) => known.id === placeId);
  const vessel = house.vessels.find((known) => known.id === probe?.vessel);
  const heardMs = lane?.lastReceivedMs ?? null;
  const silent = lane === null || heardMs === null || nowMs - heardMs > silentAfterMs(lane.rhythm);
  return {
    v: 1,
    id,
    name: probe?.name ?? id,
    place: place === undefined ? null : { id: place.id, name: place.name, kind: place.kind },
    vessel:
      vessel === undefined ? null : { name: vessel.name, volumeL: vessel.volumeL, material: vessel.material },
    source: probe?.source ?? '',
    state: latest === null ? 'never-heard' : silent ? 'silent' : 'heard',
    latest: latest === null ? null : { atMs: latest.atMs, tempC: latest.tempC, flags: latest.flags },
    intervalMs: lane === null ? null : usualMs(lane.rhythm),
    counts,
  };
}

/** An event of the record as a message to a person; null where it speaks to none. */
export function noticeOf(event: RecordEvent, speech: Speech): Notice | null {
  if (!isNotice(event)) return null;
  return {
    v: 1,
    id: event.id,
    recordSeq: event.recordSeq,
    atMs: event.atMs,
    weight: event.body.weight,
    code: event.kind,
    watch: event.body.watch,
    probe: event.about.probe?.[0] ?? null,
    text: eventSentence(event, speech),
  };
}
