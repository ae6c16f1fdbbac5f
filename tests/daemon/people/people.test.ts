import { describe, expect, it } from 'vitest';
import { personIdOf } from '../../../daemon/people/people.ts';
import { dawnMs, fresh, goodPassword, memoryPeople } from './memory-people.ts';

async function withSorrel() {
  const house = memoryPeople();
  const came = await house.people.pair(
    { code: house.code(), name: 'Sorrel’s Milker', password: goodPassword },
    fresh(),
  );
  if ('message' in came) throw new Error(came.message);
  return { ...house, came };
}

describe('people', () => {
  it('lets in whoever has a code, once, and keeps neither password nor token', async () => {
    const { came, kept, people } = await withSorrel();
    expect(came.person).toEqual({ id: 'sorrel-s-milker', name: 'Sorrel’s Milker' });
    expect(await people.admit(came.token)).toEqual({
      session: came.session,
      person: 'sorrel-s-milker',
      renewed: null,
    });
    const text = JSON.stringify(kept);
    expect([text.includes(came.token), text.includes(goodPassword)]).toEqual([false, false]);
    expect(text).toContain('scrypt$1024$8$3$');
  });

  it('takes a code once, in any writing of it, and none after ten minutes', async () => {
    const { clock, code, people } = memoryPeople();
    const used = code();
    const asked = (each: string, name: string) =>
      people.pair({ code: each, name, password: goodPassword }, fresh());
    expect(await asked(` ${used.toLowerCase().replace('-', ' ')}`, 'Plum')).toHaveProperty('token');
    expect(await asked(used, 'Teasel')).toMatchObject({ code: 'DOOR_CODE' });
    const late = code();
    clock.nowMs += 600_000;
    expect(await asked(late, 'Teasel')).toMatchObject({ code: 'DOOR_CODE' });
  });

  it('throws good codes away where somebody guesses', async () => {
    const { code, people } = memoryPeople();
    const good = code();
    for (let guess = 0; guess < 20; guess += 1) {
      const asked = { code: `AAAA-${1000 + guess}`, name: 'Plum', password: goodPassword };
      expect(await people.pair(asked, fresh())).toMatchObject({ code: 'DOOR_CODE' });
    }
    expect(await people.pair({ code: good, name: 'Plum', password: goodPassword }, fresh())).toMatchObject({
      code: 'DOOR_CODE',
    });
  });

  it('keeps a code for another try where name or password are refused', async () => {
    const { code, people } = memoryPeople();
    const good = code();
    const tries = [
      ['', goodPassword, 'DOOR_NAME'],
      ['house', goodPassword, 'DOOR_NAME'],
      ['Pl\num', goodPassword, 'DOOR_NAME'],
      ['Plum', 'short', 'DOOR_PASSWORD'],
      ['Plum', 'aaaaaaaaaaaa', 'DOOR_PASSWORD'],
      ['Plum', 'springhouse1', 'DOOR_PASSWORD'],
    ] as const;
    for (const [name, password, refused] of tries) {
      expect(await people.pair({ code: good, name, password }, fresh())).toMatchObject({ code: refused });
    }
    expect(await people.pair({ code: good, name: 'Plum', password: goodPassword }, fresh())).toHaveProperty(
      'token',
    );
  });

  it('signs in by name and password, and says the same of a wrong name and a wrong password', async () => {
    const { people } = await withSorrel();
    const sign = (name: string, password: string) => people.signIn({ name, password }, fresh());
    expect(await sign(' SORREL’S milker', goodPassword)).toHaveProperty('token');
    const wrong = await sign('sorrels-milker', 'another-password');
    expect(wrong).toEqual(await sign('Sorrel’s Milker', 'another-password'));
    expect(wrong).toMatchObject({ code: 'DOOR_WRONG' });
  });

  it('locks a name after five wrong tries, from wherever, for longer each time, and those inside stay', async () => {
    const { came, clock, people } = await withSorrel();
    const sign = (password: string) => people.signIn({ name: 'Sorrel’s Milker', password }, fresh());
    for (let tried = 0; tried < 5; tried += 1)
      expect(await sign('wrong-wrong')).toMatchObject({ code: 'DOOR_WRONG' });
    expect(await sign(goodPassword)).toMatchObject({ code: 'DOOR_WAIT', waitMs: 30_000 });
    clock.nowMs += 30_000;
    expect(await sign('wrong-wrong')).toMatchObject({ code: 'DOOR_WRONG' });
    expect(await sign(goodPassword)).toMatchObject({ code: 'DOOR_WAIT', waitMs: 60_000 });
    expect(await people.admit(came.token)).not.toBeNull();
    clock.nowMs += 60_000;
    expect(await sign(goodPassword)).toHaveProperty('token');
  });

  it('lets one address try ten times, then once in six seconds, whatever the names', async () => {
    const { people } = memoryPeople();
    const from = fresh();
    const answers: unknown[] = [];
    for (let tried = 0; tried < 12; tried += 1) {
      answers.push(await people.pair({ code: 'AAAA-1111', name: `p${tried}`, password: goodPassword }, from));
    }
    expect(answers.map((answer) => (answer as { code: string }).code)).toEqual([
      ...Array(10).fill('DOOR_CODE'),
      'DOOR_WAIT',
      'DOOR_WAIT',
    ]);
  });

  it('sets a new password by a code made for a person, and ends the sessions there were', async () => {
    const { came, people } = await withSorrel();
    const made = people.makeCode({ person: came.person.id });
    if (!('goodUntilMs' in made)) throw new Error(made.message);
    const next = 'heather-churn-owl';
    const again = await people.pair({ code: made.code, name: '', password: next }, fresh());
    expect(again).toMatchObject({ person: came.person });
    expect(await people.admit(came.token)).toBeNull();
    const sign = (password: string) => people.signIn({ name: came.person.name, password }, fresh());
    expect(await sign(goodPassword)).toMatchObject({ code: 'DOOR_WRONG' });
    expect(await sign(next)).toHaveProperty('token');
  });

  it('changes a password only for who knows the one before, and keeps only that session', async () => {
    const { came, people } = await withSorrel();
    const other = await people.signIn({ name: came.person.name, password: goodPassword }, fresh());
    if ('message' in other) throw new Error(other.message);
    const asked = { person: came.person.id, session: came.session, next: 'heather-churn-owl' };
    expect(await people.changePassword({ ...asked, password: 'not-the-one' }, fresh())).toMatchObject({
      code: 'DOOR_WRONG',
    });
    expect(await people.changePassword({ ...asked, password: goodPassword }, fresh())).toBe('done');
    expect([await people.admit(came.token), await people.admit(other.token)]).toEqual([
      expect.objectContaining({ session: came.session }),
      null,
    ]);
  });

  it('shows a person out at once, also where the disk cannot keep it, and tells who listens', async () => {
    const { came, people, switches } = await withSorrel();
    const ended: string[] = [];
    people.onEnded((session) => ended.push(session));
    switches.diskFails = true;
    await expect(people.remove(came.person.id)).rejects.toThrow('the disk is full');
    expect([await people.admit(came.token), ended, people.count]).toEqual([null, [came.session], 0]);
  });

  it('lists who is signed in where, the own session marked', async () => {
    const { came, people } = await withSorrel();
    expect(people.list(came.session)).toEqual([
      {
        id: 'sorrel-s-milker',
        name: 'Sorrel’s Milker',
        pairedAtMs: dawnMs,
        sessions: [{ id: came.session, where: 'a phone', sinceMs: dawnMs, usedAtMs: dawnMs, own: true }],
      },
    ]);
  });

  it('makes ids of names', () => {
    expect(['Plum', ' Zoë & Ann ', 'Ünal', '---', '牛'].map(personIdOf)).toEqual([
      'plum',
      'zoe-ann',
      'unal',
      null,
      null,
    ]);
  });
});
