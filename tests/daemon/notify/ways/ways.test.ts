import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'mqtt';
import { SMTPServer } from 'smtp-server';
import { afterEach, describe, expect, it } from 'vitest';
import { openCommandWay } from '../../../../daemon/notify/ways/command-way.ts';
import { openEmailWay } from '../../../../daemon/notify/ways/email-way.ts';
import { openMqttWay } from '../../../../daemon/notify/ways/mqtt-way.ts';
import { openPageWay } from '../../../../daemon/notify/ways/page-way.ts';
import { signedHeaders, signingKey } from '../../../../daemon/notify/ways/webhook-signature.ts';
import { openWebhookWay } from '../../../../daemon/notify/ways/webhook-way.ts';
import { freePort, startMosquitto } from '../../../machine/mosquitto.ts';
import { openWebhookReceiver } from '../../../machine/webhook-receiver.ts';
import { lacks } from '../../../machine/what-this-machine-lacks.ts';
import { until } from '../../open-test-house.ts';
import { warning } from './letter.ts';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

function closing<T extends { close(): unknown }>(thing: T): T {
  closers.push(() => thing.close());
  return thing;
}

describe('a command', () => {
  it('gets the letter on its input and in its environment, and nothing else of the house’s own', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'springhouse-command-'));
    closers.push(() => rmSync(folder, { recursive: true }));
    process.env.SPRINGHOUSE_TEST_SECRET = 'hush';
    const path = join(folder, 'said');
    const way = closing(
      openCommandWay({ id: 'bell', run: ['/bin/sh', '-c', `cat > ${path}; env | sort >> ${path}`] }),
    );
    expect(await way.send(warning)).toEqual({ is: 'sent' });
    const said = readFileSync(path, 'utf8');
    expect(said.startsWith(`${warning.text}\n`)).toBe(true);
    expect(said).toContain('SPRINGHOUSE_WEIGHT=warn\n');
    expect(said).toContain('SPRINGHOUSE_CODE=chill-will-miss\n');
    expect(said).not.toContain('hush');
  });

  it.each([
    [['/bin/sh', '-c', 'echo no bell here >&2; exit 3'], 'ended with 3: no bell here'],
    [['/nowhere/ring'], 'spawn /nowhere/ring ENOENT'],
    [['/bin/sh', '-c', 'exec sleep 60'], 'still ran after 0.2 s'],
  ])('that fails says why: %j', async (run, why) => {
    const way = closing(openCommandWay({ id: 'bell', run, sendMs: 200 }));
    expect(await way.send(warning)).toEqual({ is: 'failed', why });
  });

  it('is given arguments as they stand, whatever a shell would make of them', async () => {
    const way = closing(openCommandWay({ id: 'bell', run: ['/usr/bin/test', '$(id)', '=', '$(id)'] }));
    expect(await way.send({ ...warning, text: '`id`; $(id)' })).toEqual({ is: 'sent' });
  });
});

describe('an e-mail', () => {
  type Mail = { from: string; to: string[]; text: string };

  /** A real SMTP server; `judge` may refuse what it gets. */
  async function openServer(
    judge: (mail: Mail) => Error | null = () => null,
  ): Promise<{ port: number; mails: Mail[] }> {
    const mails: Mail[] = [];
    const server = new SMTPServer({
      authOptional: true,
      disabledCommands: ['STARTTLS'],
      onAuth: ({ username, password }, _session, done) =>
        username === 'house' && password === 'right'
          ? done(null, { user: 'house' })
          : done(new Error('wrong password')),
      onData: (stream, session, done) => {
        let text = '';
        stream.setEncoding('utf8');
        stream.on('data', (chunk: string) => {
          text += chunk;
        });
        stream.on('end', () => {
          const { mailFrom, rcptTo } = session.envelope;
          const from = mailFrom === false ? '' : mailFrom.address;
          const mail = { from, to: rcptTo.map(({ address }) => address), text };
          const fault = judge(mail);
          if (fault === null) mails.push(mail);
          done(fault);
        });
      },
    });
    server.on('error', () => {});
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    closers.push(() => new Promise<void>((resolve) => server.close(() => resolve())));
    return { port: (server.server.address() as { port: number }).port, mails };
  }

  const options = {
    id: 'mail',
    host: '127.0.0.1',
    security: 'none',
    user: null,
    password: null,
    ca: null,
    from: 'dairy@example.org',
    to: 'milker@example.org',
  } as const;

  it('is taken by a real server, in plain text, with an id that is the same at every try', async () => {
    const { port, mails } = await openServer();
    const way = closing(openEmailWay({ ...options, port, user: 'house', password: 'right' }));
    expect(await way.send(warning)).toEqual({ is: 'sent' });
    expect(await way.send(warning)).toEqual({ is: 'sent' });
    expect(mails.map(({ from, to }) => ({ from, to }))).toEqual(
      [1, 2].map(() => ({ from: 'dairy@example.org', to: ['milker@example.org'] })),
    );
    const ids = mails.map(({ text }) => /^Message-ID: (<[0-9a-f]{32}@example\.org>)/m.exec(text)?.[1]);
    expect(ids[0]).toBeDefined();
    expect(ids[1]).toBe(ids[0]);
    expect(mails[0]?.text).toMatch(/^Auto-Submitted: auto-generated/m);
    expect(mails[0]?.text).toMatch(/^Content-Type: text\/plain/m);
    expect(mails[0]?.text).toContain('Second line.');
  });

  it('that the server refuses for good is refused, anything else is tried again', async () => {
    const final = await openServer(() => Object.assign(new Error('too large'), { responseCode: 552 }));
    const way = closing(openEmailWay({ ...options, port: final.port }));
    expect(await way.send(warning)).toMatchObject({
      is: 'refused',
      why: expect.stringMatching(/^answered 552/),
    });
    const busy = await openServer(() => Object.assign(new Error('come later'), { responseCode: 451 }));
    const later = closing(openEmailWay({ ...options, port: busy.port }));
    expect(await later.send(warning)).toMatchObject({
      is: 'failed',
      why: expect.stringMatching(/^answered 451/),
    });
    const wrong = closing(openEmailWay({ ...options, port: busy.port, user: 'house', password: 'wrong' }));
    expect(await wrong.send(warning)).toMatchObject({
      is: 'failed',
      why: expect.stringMatching(/^answered 535/),
    });
    const gone = closing(openEmailWay({ ...options, port: await freePort() }));
    expect(await gone.send(warning)).toMatchObject({
      is: 'failed',
      why: expect.stringMatching(/ECONNREFUSED/),
    });
  });

  it('is not sent in the clear where the house file asks for starttls', async () => {
    const { port, mails } = await openServer();
    const way = closing(openEmailWay({ ...options, port, security: 'starttls' }));
    expect((await way.send(warning)).is).toBe('failed');
    expect(mails).toEqual([]);
  });
});

describe('a webhook', () => {
  const secret = 'twenty-four bytes and more';

  it('is signed as Standard Webhooks does it', () => {
    // Standard Webhooks 1.0.0, spec/standard-webhooks.md, "Signature scheme": the example secret, id, timestamp and
    // payload; the signature is HMAC-SHA256 over `id.timestamp.payload`, computed independently with openssl.
    const key = signingKey('whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw');
    const call = {
      id: 'msg_p5jXN8AQM9LWM0D4loKWxJek',
      atMs: 1_614_265_330_000,
      body: '{"test": 2432232314}',
    };
    expect(key === null ? null : signedHeaders(key, call)).toEqual({
      'webhook-id': 'msg_p5jXN8AQM9LWM0D4loKWxJek',
      'webhook-timestamp': '1614265330',
      'webhook-signature': 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
    });
  });

  it.each([['short'], [`whsec_${Buffer.alloc(23).toString('base64')}`], ['x'.repeat(65)]])(
    'has no key in a secret of another length: %s',
    (text) => {
      expect(signingKey(text)).toBeNull();
    },
  );

  it('says why it failed, and what its far end will never take', async () => {
    const receiver = closing(await openWebhookReceiver(secret));
    const way = closing(
      openWebhookWay({ id: 'hook', url: receiver.url, key: signingKey(secret), nowMs: Date.now }),
    );
    receiver.answer(503);
    expect(await way.send(warning)).toEqual({ is: 'failed', why: 'answered 503' });
    receiver.answer(302);
    expect(await way.send(warning)).toEqual({ is: 'failed', why: 'answered 302' });
    receiver.answer(410);
    expect(await way.send(warning)).toEqual({ is: 'refused', why: 'answered 410' });
    await receiver.down();
    expect(await way.send(warning)).toMatchObject({
      is: 'failed',
      why: expect.stringMatching(/ECONNREFUSED|closed/),
    });
    await receiver.up();
    receiver.answer(200);
    expect(await way.send(warning)).toEqual({ is: 'sent' });
    expect(receiver.calls.map(({ signed }) => signed)).toEqual([true]);
  });

  it('lets go of a call under way when it closes', async () => {
    const receiver = closing(await openWebhookReceiver(secret));
    receiver.hang();
    const way = openWebhookWay({ id: 'hook', url: receiver.url, key: null, nowMs: Date.now });
    const sent = way.send(warning);
    await way.close();
    expect((await sent).is).toBe('failed');
  });
});

describe.skipIf(lacks('mosquitto'))('an MQTT topic', () => {
  it('has a letter once the broker has acknowledged it, and again when the broker is back', async () => {
    const broker = await startMosquitto();
    closers.push(() => broker.stop());
    const heard: string[] = [];
    const listener = connect(broker.url, { reconnectPeriod: 50 });
    closers.push(() => listener.endAsync(true));
    listener.on('message', (_topic, payload) => heard.push(payload.toString()));
    listener.on('connect', () => listener.subscribe('kitchen/bell', { qos: 1 }));
    const login = { url: broker.url, protocolVersion: 5 } as const;
    const way = closing(
      openMqttWay({ id: 'bell', house: 'larkfell', topic: 'kitchen/bell', login, leadsTo: 'x' }),
    );
    await until(
      async () => {
        await way.send(warning);
        return heard.length;
      },
      (count) => count > 0,
    );
    expect(JSON.parse(heard[0] ?? '')).toEqual(warning);
    await broker.kill();
    expect((await way.send(warning)).is).toBe('failed');
    await broker.start();
    await until(
      async () => (await way.send(warning)).is,
      (is) => is === 'sent',
    );
  });
});

describe('the page', () => {
  it('has a letter only where an open page says that it sounded', async () => {
    const way = closing(openPageWay({ id: 'page', heardMs: 50 }));
    expect(await way.send(warning)).toEqual({ is: 'refused', why: 'no page is open' });
    const leave = way.subscribe(() => {});
    expect(await way.send(warning)).toEqual({ is: 'refused', why: 'no open page has its sound on' });
    way.subscribe(({ id }) => queueMicrotask(() => way.heard(id)));
    expect(await way.send(warning)).toEqual({ is: 'sent' });
    expect(way.heard(warning.id)).toBe(false);
    leave();
  });
});
