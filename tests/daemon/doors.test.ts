import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { askOwner } from '../../daemon/ask-owner.ts';
import type { Springhouse } from '../../daemon/compose.ts';
import { type OpenedView, type PairingView, shutDoor } from '../../shared/contract/door.ts';
import { makeTestFolder, openTestHouse, type TestFolder, until } from './open-test-house.ts';

/** Of the loopback network, yet not the loopback that the house listens on anyway: it stands for the home's. */
const address = '127.0.0.2';
const password = 'larch-kettle-moss';
const json = { 'content-type': 'application/json' };

describe('the doors of a house', () => {
  let folder: TestFolder;
  let house: Springhouse;
  let opened: OpenedView;
  let page: string;
  let broker: string;

  beforeAll(async () => {
    folder = await makeTestFolder();
    house = await openTestHouse(folder.dataDir);
    opened = await owner<OpenedView>('/owner/open', { ...shutDoor, open: true, addresses: [address] });
    [page = ''] = opened.pages;
    [broker = ''] = opened.brokers;
  });

  afterAll(async () => {
    await house.close();
    await folder.remove();
  });

  async function owner<T>(path: string, body?: object): Promise<T> {
    const answered = await askOwner(folder.dataDir, path, body);
    if (answered.is !== 'answer') throw new Error(JSON.stringify(answered));
    return answered.body as T;
  }

  async function post(path: string, body: object, cookie = '') {
    const headers = { ...json, ...(cookie === '' ? {} : { cookie }) };
    const answer = await fetch(`${page}${path}`, { method: 'POST', headers, body: JSON.stringify(body) });
    return {
      status: answer.status,
      body: (await answer.json()) as Record<string, unknown>,
      cookie: answer.headers.get('set-cookie') ?? '',
    };
  }

  async function paired(name: string): Promise<string> {
    const { code } = await owner<PairingView>('/owner/code', { person: null });
    const { cookie, status } = await post('/api/door/pair', { v: 1, code, name, password });
    expect(status).toBe(200);
    return cookie.split(';')[0] ?? '';
  }

  const ask = async (path: string, cookie = '', at = page) =>
    (await fetch(`${at}${path}`, { headers: cookie === '' ? {} : { cookie } })).status;

  it('tell the owner where they are, with a code to scan and a key for each probe', () => {
    expect(opened).toMatchObject({ house: house.id, secure: false, faults: [] });
    expect([page, broker]).toEqual([
      `http://${address}:${new URL(house.url).port}`,
      expect.stringMatching(/^mqtt:\/\/127\.0\.0\.2:\d+$/),
    ]);
    expect(opened.keys).toEqual([{ probe: 'jar', password: expect.stringMatching(/^[\w-]{20}$/) }]);
    expect(opened.pairing?.url).toBe(`${page}/#pair=${opened.pairing?.code}`);
    expect(opened.pairing?.qr[0]).toMatch(/^#######\.[#.]+\.#######$/);
  });

  it('let nobody ask of the house without signing in, nor on this machine', async () => {
    const paths = ['/api/house', '/api/live', '/api/record', '/api/people', '/health', '/api/openapi.json'];
    expect(await Promise.all(paths.map((path) => ask(path)))).toEqual(paths.map(() => 401));
    expect([await ask('/api/house', '', house.url), await ask('/health', '', house.url)]).toEqual([401, 200]);
    expect(await (await fetch(`${page}/api/door`)).json()).toEqual({
      v: 1,
      open: true,
      signIn: true,
      secure: false,
      person: null,
    });
    const cookie = await paired('Tansy');
    expect([await ask('/owner/opened'), await ask('/owner/opened', cookie)]).toEqual([401, 404]);
  });

  it('give a cookie that no script and no other site has, and note who said what', async () => {
    const { code } = await owner<PairingView>('/owner/code', { person: null });
    const { cookie: set } = await post('/api/door/pair', { v: 1, code, name: 'Teasel', password });
    expect(set).toMatch(/^springhouse=[\w-]{43}; Path=\/; Max-Age=15552000; HttpOnly; SameSite=Strict$/);
    const cookie = set.split(';')[0] ?? '';
    const probe = await connectAsync(house.brokerUrl ?? '', { protocolVersion: 4 });
    await probe.publishAsync(`springhouse/${house.id}/reading/jar`, '30', { qos: 1 });
    await probe.endAsync();
    const said = { v: 1, id: 'word-of-teasel', word: { kind: 'chill-begin', probe: 'jar' } };
    expect(await post('/api/words', said, cookie)).toMatchObject({ status: 200 });
    const events = await until(
      async () =>
        (
          (await (await fetch(`${page}/api/record`, { headers: { cookie } })).json()) as {
            events: { kind: string; by: object }[];
          }
        ).events,
      (all) => all.some(({ kind }) => kind === 'word-said'),
    );
    expect(events.find(({ kind }) => kind === 'word-said')?.by).toEqual({ kind: 'person', id: 'teasel' });
    expect(await ask('/api/house', cookie)).toBe(200);
  });

  it('end a session from the command line, its feed at once', async () => {
    const cookie = await paired('Sorrel');
    const feed = await fetch(`${page}/api/live`, { headers: { cookie } });
    const people = await owner<{ people: { id: string; sessions: { id: string }[] }[] }>('/api/people');
    const session = people.people.find(({ id }) => id === 'sorrel')?.sessions[0]?.id;
    await owner('/api/people/end-session', { v: 1, session });
    expect(await feed.text()).toContain('retry');
    expect(await ask('/api/house', cookie)).toBe(401);
  });

  it('remove a person from the page, with all sessions', async () => {
    const [cookie, other] = [await paired('Bramble'), await paired('Plum')];
    expect((await post('/api/people/remove', { v: 1, person: 'bramble' }, other)).body).toEqual({
      v: 1,
      done: true,
    });
    expect([await ask('/api/house', cookie), await ask('/api/house', other)]).toEqual([401, 200]);
    expect((await post('/api/door/sign-in', { v: 1, name: 'Bramble', password })).status).toBe(403);
    const signedIn = await post('/api/door/sign-in', { v: 1, name: 'Plum', password });
    expect(signedIn.body).toMatchObject({ person: { id: 'plum', name: 'Plum' } });
  });

  it('hold a probe to its own topic and its own readings', async () => {
    const key = opened.keys[0]?.password ?? '';
    const client = await connectAsync(broker, {
      protocolVersion: 4,
      username: 'jar',
      password: key,
      reconnectPeriod: 0,
    });
    const topic = (probe: string) => `springhouse/${house.id}/reading/${probe}`;
    const atS = Math.floor(Date.now() / 1000) - 60;
    const pack = (n: string, v: number, t: number) => JSON.stringify([{ n, u: 'Cel', v, t }]);
    await client.publishAsync(topic('jar'), JSON.stringify([{ u: 'Cel', v: 21, t: atS }]), { qos: 1 });
    await client.publishAsync(topic('pot'), pack('pot', 22, atS), { qos: 1 });
    const probes = await owner<{
      refusals: { code: string }[];
      probes: { id: string; counts: { taken: number } }[];
    }>('/api/probes');
    expect(probes.refusals.map(({ code }) => code)).toContain('BROKER_TOPIC');
    expect(probes.probes.find(({ id }) => id === 'jar')?.counts.taken).toBe(2);
    const state = `springhouse/${house.id}/state`;
    const granted = client.subscribeAsync([`${state}/jar`, `${state}/pot`, `springhouse/${house.id}/#`]);
    await expect(granted).rejects.toThrow();
    const gone = new Promise<void>((resolve) => client.once('close', () => resolve()));
    await owner('/owner/key', { probe: 'jar', revoke: false });
    await gone;
    for (const [username, secret] of [
      ['jar', key],
      ['jar', ''],
      ['pot', key],
      [undefined, undefined],
    ] as const) {
      const options = {
        protocolVersion: 4 as const,
        reconnectPeriod: 0,
        ...(username === undefined ? {} : { username, password: secret }),
      };
      await expect(connectAsync(broker, options)).rejects.toThrow(/Bad User|Not authorized/i);
    }
  });

  it('shut again, and open as they were left after a restart', async () => {
    await house.close();
    house = await openTestHouse(folder.dataDir);
    const again = await owner<OpenedView>('/owner/opened');
    expect(again.pages.length).toBe(1);
    expect(await ask('/api/house', '', again.pages[0])).toBe(401);
    await owner('/owner/shut', {});
    await expect(fetch(`${again.pages[0]}/api/door`)).rejects.toThrow();
    expect(
      await until(
        () => ask('/api/house', '', house.url),
        (status) => status === 200,
      ),
    ).toBe(200);
    expect((await owner<OpenedView>('/owner/opened')).pages).toEqual([]);
  });
});
