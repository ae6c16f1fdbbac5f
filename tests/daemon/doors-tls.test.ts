import { chmod, copyFile, readFile } from 'node:fs/promises';
import { request } from 'node:https';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { expect, it, onTestFinished } from 'vitest';
import { askOwner } from '../../daemon/ask-owner.ts';
import { type OpenedView, shutDoor } from '../../shared/contract/door.ts';
import { makeTestFolder, openTestHouse } from './open-test-house.ts';

it('opens over https and mqtts with a certificate that is given, with a cookie for https alone', async () => {
  const folder = await makeTestFolder();
  onTestFinished(() => folder.remove());
  const house = await openTestHouse(folder.dataDir);
  onTestFinished(() => house.close());
  const files = { certFile: join(folder.dataDir, 'cert.pem'), keyFile: join(folder.dataDir, 'key.pem') };
  await copyFile('tests/probes/mqtt/tls/loopback-cert.pem', files.certFile);
  await copyFile('tests/probes/mqtt/tls/loopback-key.pem', files.keyFile);
  await chmod(files.keyFile, 0o600);
  const ca = await readFile(files.certFile);
  const answered = await askOwner(folder.dataDir, '/owner/open', {
    ...shutDoor,
    ...files,
    open: true,
    addresses: ['127.0.0.2'],
    names: ['localhost'],
  });
  if (answered.is !== 'answer') throw new Error(JSON.stringify(answered));
  const { brokers, keys, pages, pairing, secure } = answered.body as OpenedView;
  const { port } = new URL(pages[1] ?? '');
  expect([secure, pages]).toEqual([true, [`https://localhost:${port}`, `https://127.0.0.2:${port}`]]);

  const body = JSON.stringify({ v: 1, code: pairing?.code, name: 'Plum', password: 'larch-kettle-moss' });
  const set = await new Promise<string>((resolve, reject) => {
    const headers = {
      host: `localhost:${port}`,
      origin: `https://localhost:${port}`,
      'content-type': 'application/json',
    };
    const where = { host: '127.0.0.2', port, servername: 'localhost', ca, agent: false };
    request({ ...where, path: '/api/door/pair', method: 'POST', headers }, (answer) => {
      answer.resume();
      resolve(`${answer.statusCode} ${answer.headers['set-cookie']}`);
    })
      .on('error', reject)
      .end(body);
  });
  expect(set).toMatch(
    /^200 __Host-springhouse=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/,
  );

  const [key] = keys;
  const options = {
    username: 'jar',
    password: key?.password ?? '',
    protocolVersion: 4 as const,
    reconnectPeriod: 0,
  };
  const client = await connectAsync(brokers[0] ?? '', { ...options, ca, servername: 'localhost' });
  await client.publishAsync(`springhouse/${house.id}/reading/jar`, '4.5', { qos: 1 });
  await client.endAsync();
  const probes = await askOwner(folder.dataDir, '/api/probes');
  expect(probes).toMatchObject({ body: { probes: [{ id: 'jar', counts: { taken: 1 } }] } });
  await expect(fetch(`http://127.0.0.2:${port}/api/door`)).rejects.toThrow();
});
