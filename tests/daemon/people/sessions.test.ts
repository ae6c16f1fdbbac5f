import { describe, expect, it } from 'vitest';
import type { PeopleChange } from '../../../daemon/people/kept.ts';
import {
  ageMsMax,
  graceMs,
  idleMsMax,
  openSessions,
  rotateAfterMs,
} from '../../../daemon/people/sessions.ts';
import { dawnMs } from './memory-people.ts';

async function openOne() {
  const clock = { nowMs: dawnMs };
  const kept: PeopleChange[] = [];
  const sessions = openSessions({
    kept: [],
    keep: async (changes) => {
      kept.push(...changes);
    },
    nowMs: () => clock.nowMs,
  });
  const { token, session } = await sessions.begin('plum', 'a phone\u0007');
  const later = (spanMs: number) => {
    clock.nowMs += spanMs;
  };
  const admit = async (each: string) => {
    const admitted = await sessions.admit(each);
    return admitted === null ? null : (admitted.renewed ?? 'as it was');
  };
  return { sessions, kept, token, session, later, admit };
}

describe('sessions', () => {
  it('renew a token after a day, and the one before goes on for requests under way', async () => {
    const { admit, later, token } = await openOne();
    expect(await admit(token)).toBe('as it was');
    later(rotateAfterMs);
    const renewed = (await admit(token)) as string;
    expect(renewed).toMatch(/^[\w-]{43}$/);
    expect([await admit(token), await admit(renewed)]).toEqual(['as it was', 'as it was']);
    later(graceMs);
    expect([await admit(token), await admit(renewed)]).toEqual(['as it was', 'as it was']);
  });

  it('end where a token comes back long after it was replaced, for whoever has the other', async () => {
    const { admit, later, sessions, session, token } = await openOne();
    const ended: string[] = [];
    sessions.onEnded((each) => ended.push(each));
    later(rotateAfterMs);
    const renewed = (await admit(token)) as string;
    await admit(renewed);
    later(graceMs + 1);
    expect([await admit(token), await admit(renewed), ended]).toEqual([null, null, [session]]);
  });

  it('renew again where the answer with the new token was lost', async () => {
    const { admit, later, token } = await openOne();
    later(rotateAfterMs);
    const lost = (await admit(token)) as string;
    later(graceMs);
    const renewed = (await admit(token)) as string;
    expect(renewed).toMatch(/^[\w-]{43}$/);
    expect([await admit(lost), await admit(renewed)]).toEqual([null, 'as it was']);
  });

  it('end when unused for 30 days, and 180 days after they began however much they are used', async () => {
    const idle = await openOne();
    idle.later(idleMsMax + 1);
    expect(await idle.admit(idle.token)).toBeNull();
    const old = await openOne();
    let token = old.token;
    for (let days = 0; days < 180; days += 20) {
      const renewed = await old.admit(token);
      if (renewed !== null && renewed !== 'as it was') token = renewed;
      old.later(20 * 86_400_000);
    }
    old.later(ageMsMax - 180 * 86_400_000 + 1);
    expect(await old.admit(token)).toBeNull();
  });

  it('come back as they were kept', async () => {
    const { kept, session, token } = await openOne();
    const [change] = kept;
    if (change === undefined || !('put' in change) || change.put !== 'session') throw new Error('no session');
    expect(change.row.where).toBe('a phone');
    const again = openSessions({ kept: [change.row], keep: async () => {}, nowMs: () => dawnMs });
    expect(await again.admit(token)).toEqual({ session, person: 'plum', renewed: null });
    expect(await again.admit('another')).toBeNull();
  });

  it('are at most twelve a person: the one unused for longest ends', async () => {
    const { admit, later, sessions, token } = await openOne();
    for (let more = 0; more < 12; more += 1) {
      later(1);
      await sessions.begin('plum', 'a phone');
    }
    expect([await admit(token), sessions.of('plum').length]).toEqual([null, 12]);
  });
});
