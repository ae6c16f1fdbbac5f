/** The people of a house and its probes' keys, kept by the writer. Wiring. */
import { type DoorSettings, shutDoor } from '../shared/contract/door.ts';
import { openHashing } from './people/password.ts';
import { openPeople, type People } from './people/people.ts';
import { openProbeKeys, type ProbeKeys } from './people/probe-keys.ts';
import type { Writer } from './writer.ts';

export type HousePeople = {
  people: People;
  keys: ProbeKeys;
  /** How the door was left. */
  settings: DoorSettings;
  keepSettings(settings: DoorSettings): Promise<void>;
};

/** Opens what was kept. */
export async function openHousePeople(
  writer: Pick<Writer, 'peopleKept' | 'keepPeople'>,
  nowMs: () => number,
): Promise<HousePeople> {
  const kept = await writer.peopleKept();
  const keep = writer.keepPeople;
  return {
    people: openPeople({ kept, keep, hashing: openHashing(), nowMs, steadyMs: () => performance.now() }),
    keys: openProbeKeys({ kept: kept.keys, keep, nowMs }),
    settings: kept.door ?? shutDoor,
    keepSettings: (settings) => keep([{ put: 'door', row: settings }]),
  };
}
