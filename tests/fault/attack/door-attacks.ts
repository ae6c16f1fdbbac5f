/** Attacks on the door and on the broker: sessions, guesses, things used twice, topics of others. */
import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt';
import {
  type Attack,
  ask,
  asOwner,
  dismiss,
  freshAddress,
  freshCode,
  goodPassword,
  pairedPerson,
  type Target,
} from './target.ts';

const house = (target: Target, cookie: string) => ask(target, { path: '/api/house', headers: { cookie } });

export const doorAttacks: Attack[] = [
  {
    family: 'session',
    name: 'looks for a cookie that scripts or other sites get',
    run: async (target) => {
      const { name, set } = await pairedPerson(target);
      await dismiss(target, name);
      const lacks = ['HttpOnly', 'SameSite=Strict', 'Path=/'].filter((flag) => !set.includes(flag));
      return lacks.length === 0 ? null : `the cookie lacks ${lacks.join(', ')}`;
    },
  },
  {
    family: 'session',
    name: 'fixes a token before somebody signs in with it',
    run: async (target) => {
      const { name } = await pairedPerson(target);
      const cookie = `springhouse=${'B'.repeat(43)}`;
      await ask(target, {
        path: '/api/door/sign-in',
        headers: { cookie },
        body: { v: 1, name, password: goodPassword },
      });
      const { status } = await house(target, cookie);
      await dismiss(target, name);
      return status === 200 ? 'the fixed token was taken over' : null;
    },
  },
  {
    family: 'replay',
    name: 'comes again with a session that was left, a removed person’s, and one before the password changed',
    run: async (target) => {
      const [left, removed, changed] = [
        await pairedPerson(target),
        await pairedPerson(target),
        await pairedPerson(target),
      ];
      await ask(target, { path: '/api/door/sign-out', headers: { cookie: left.cookie }, body: { v: 1 } });
      await dismiss(target, removed.name);
      const { code } = await asOwner<{ code: string }>(target, '/owner/code', { person: changed.name });
      await ask(target, {
        path: '/api/door/pair',
        body: { v: 1, code, name: '', password: 'heather-churn-owl' },
      });
      const answers = await Promise.all([left, removed, changed].map(({ cookie }) => house(target, cookie)));
      await Promise.all([left, changed].map(({ name }) => dismiss(target, name)));
      const at = answers.findIndex(({ status }) => status === 200);
      return at < 0 ? null : `${['a left', 'a removed', 'an outdated'][at]} session was let in`;
    },
  },
  {
    family: 'replay',
    name: 'uses a pairing code twice',
    run: async (target) => {
      const code = await freshCode(target);
      const come = (name: string) =>
        ask(target, { path: '/api/door/pair', body: { v: 1, code, name, password: goodPassword } });
      const answers = await Promise.all([come('twice-one'), come('twice-two')]);
      const third = await come('twice-three');
      await Promise.all(['twice-one', 'twice-two', 'twice-three'].map((name) => dismiss(target, name)));
      const cameIn = [...answers, third].filter(({ status }) => status === 200).length;
      return cameIn > 1 ? `${cameIn} came in by one code` : null;
    },
  },
  {
    family: 'guess',
    name: 'tries passwords from ever new addresses until one fits',
    run: async (target) => {
      const { name } = await pairedPerson(target);
      const sign = (password: string) =>
        ask(target, { path: '/api/door/sign-in', body: { v: 1, name, password } });
      for (let tried = 0; tried < 8; tried += 1) await sign(`wrong-password-${tried}`);
      const { status } = await sign(goodPassword);
      await dismiss(target, name);
      return status === 200 ? 'the ninth guess in a row was let in' : null;
    },
  },
  {
    family: 'guess',
    name: 'tries pairing codes from one address',
    run: async (target) => {
      const from = freshAddress();
      const tries = Array.from({ length: 15 }, (_, index) =>
        ask(target, {
          path: '/api/door/pair',
          from,
          body: { v: 1, code: `GUES-${1000 + index}`, name: 'guess', password: goodPassword },
        }),
      );
      const waits = (await Promise.all(tries)).filter(({ status }) => status === 429).length;
      return waits === 0 ? 'fifteen codes in a row were looked at' : null;
    },
  },
  {
    family: 'topics',
    name: 'joins the broker without a key, with a wrong one, with another probe’s',
    run: async (target) => {
      const tries: IClientOptions[] = [
        {},
        { username: 'jar' },
        { username: 'jar', password: '' },
        { username: 'jar', password: 'A'.repeat(20) },
        { username: 'pot', password: target.jarKey },
        { username: '', password: target.jarKey },
      ];
      for (const options of tries) {
        const client = await join(target, options);
        if (client === null) continue;
        await client.endAsync(true);
        return `${JSON.stringify(options.username ?? 'nobody')} was let in`;
      }
      return null;
    },
  },
  {
    family: 'topics',
    name: 'publishes for another probe, listens to the house, speaks in its name',
    run: async (target) => {
      const client = await join(target, { username: 'jar', password: target.jarKey, clientId: 'same' });
      if (client === null) return 'the probe’s own key was refused';
      const taken = async () =>
        (
          await asOwner<{ probes: { id: string; counts: { taken: number } }[] }>(target, '/api/probes')
        ).probes.find(({ id }) => id === 'pot')?.counts.taken ?? 0;
      const before = await taken();
      const topic = (rest: string) => `springhouse/${target.house}/${rest}`;
      const heard: string[] = [];
      client.on('message', (from) => heard.push(from));
      for (const filter of [
        '#',
        topic('#'),
        topic('reading/+'),
        topic('state/pot'),
        topic('watch/+'),
        topic('notice'),
        '$SYS/#',
      ]) {
        await client.subscribeAsync(filter).catch(() => {});
      }
      const atS = Math.floor(Date.now() / 1000) - 5;
      const pack = JSON.stringify([{ bn: '', n: 'pot', u: 'Cel', v: 20, t: atS }]);
      await client.publishAsync(topic('reading/pot'), '21', { qos: 1 });
      await client.publishAsync(topic('reading/jar'), pack, { qos: 1 });
      await client.publishAsync(topic('state/pot'), '{"forged":true}', { qos: 1, retain: true });
      await client.publishAsync(topic('notice'), '{"forged":true}', { qos: 1 });
      const listener = await join(
        { ...target, broker: target.broker },
        { username: 'jar', password: target.jarKey, clientId: 'ear' },
      );
      listener?.on('message', (from) => heard.push(from));
      await new Promise((resolve) => setTimeout(resolve, 300));
      const after = await taken();
      await Promise.all([client.endAsync(true), listener?.endAsync(true)]);
      if (after > before) return 'a reading of another probe was taken';
      const foreign = heard.find((from) => !from.endsWith('/state/jar') && !from.endsWith('/alive'));
      return foreign === undefined ? null : `heard ${foreign}`;
    },
  },
];

async function join(target: Target, options: IClientOptions): Promise<MqttClient | null> {
  try {
    const client = await connectAsync(target.broker, {
      protocolVersion: 4,
      reconnectPeriod: 0,
      connectTimeout: 4_000,
      ...options,
    });
    client.on('error', () => {});
    return client;
  } catch {
    return null;
  }
}
