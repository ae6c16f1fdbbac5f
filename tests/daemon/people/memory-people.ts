/** People whose changes are kept in an array, with a clock that the test turns. */
import type { PeopleChange } from '../../../daemon/people/kept.ts';
import { openHashing } from '../../../daemon/people/password.ts';
import { openPeople } from '../../../daemon/people/people.ts';

export const dawnMs = Date.UTC(2026, 4, 4, 6, 0, 0);
export const goodPassword = 'larch-kettle-moss';

export function memoryPeople() {
  const clock = { nowMs: dawnMs };
  const kept: PeopleChange[] = [];
  const switches = { diskFails: false };
  const people = openPeople({
    kept: { people: [], sessions: [] },
    keep: async (changes) => {
      if (switches.diskFails) throw new Error('the disk is full');
      kept.push(...changes);
    },
    hashing: openHashing({ N: 1024, r: 8, p: 3 }),
    nowMs: () => clock.nowMs,
    steadyMs: () => clock.nowMs,
  });
  const code = () => {
    const made = people.makeCode({ person: null });
    if (!('goodUntilMs' in made)) throw new Error(made.message);
    return made.code;
  };
  return { people, clock, kept, switches, code };
}

let address = 0;

/** An address that nobody tried from before. */
export function fresh() {
  address += 1;
  return { address: `192.168.0.${address}`, where: 'a phone' };
}
