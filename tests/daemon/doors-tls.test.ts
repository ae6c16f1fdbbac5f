import { execFile } from 'node:child_process';
import { X509Certificate } from 'node:crypto';
import { chmod, copyFile, readFile } from 'node:fs/promises';
import { request } from 'node:https';
import { join } from 'node:path';
import { connect } from 'node:tls';
import { promisify } from 'node:util';
import { connectAsync } from 'mqtt';
import { describe, expect, it, onTestFinished } from 'vitest';
import { askOwner } from '../../daemon/ask-owner.ts';
import { type OpenedView, shutDoor } from '../../shared/contract/door.ts';
import { lacks, pathOf } from '../machine/what-this-machine-lacks.ts';
import { makeTestFolder, openTestHouse } from './open-test-house.ts';

/** A house with a certificate in its folder, and what asks it to open its doors with that. */
async function houseWithCertificate() {
  const folder = await makeTestFolder();
  onTestFinished(() => folder.remove());
  const house = await openTestHouse(folder.dataDir);
  onTestFinished(() => house.close());
  const files = { certFile: join(folder.dataDir, 'cert.pem'), keyFile: join(folder.dataDir, 'key.pem') };
  await copyFile('tests/probes/mqtt/tls/loopback-cert.pem', files.certFile);
  await copyFile('tests/probes/mqtt/tls/loopback-key.pem', files.keyFile);
  await chmod(files.keyFile, 0o600);
  const settings = { ...shutDoor, ...files, open: true, addresses: ['127.0.0.2'], names: ['localhost'] };
  const askToOpen = async (): Promise<OpenedView> => {
    const answered = await askOwner(folder.dataDir, '/owner/open', settings);
    if (answered.is !== 'answer') throw new Error(JSON.stringify(answered));
    return answered.body as OpenedView;
  };
  return { folder, house, files, askToOpen };
}

it('opens over https and mqtts with a certificate that is given, with a cookie for https alone', async () => {
  const { folder, house, files, askToOpen } = await houseWithCertificate();
  const ca = await readFile(files.certFile);
  const { brokers, keys, pages, pairing, secure } = await askToOpen();
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

describe.skipIf(lacks('openssl'))('a certificate that was renewed', () => {
  it('is shown by page and broker without a restart, while who is connected stays', async () => {
    const { files, askToOpen, house } = await houseWithCertificate();
    const { brokers, keys, pages } = await askToOpen();
    const doors = [pages[1] ?? '', brokers[0] ?? ''];
    const ca = await readFile(files.certFile);
    const options = { username: 'jar', password: keys[0]?.password ?? '', reconnectPeriod: 0 };
    const client = await connectAsync(brokers[0] ?? '', { ...options, ca, servername: 'localhost' });
    const before = await Promise.all(doors.map(shownBy));

    await makeCertificate(files);
    await askToOpen();
    const after = await Promise.all(doors.map(shownBy));
    expect(before).toEqual(Array(2).fill(new X509Certificate(ca).fingerprint256));
    expect(after).toEqual(Array(2).fill(new X509Certificate(await readFile(files.certFile)).fingerprint256));
    expect(after).not.toEqual(before);
    await client.publishAsync(`springhouse/${house.id}/reading/jar`, '4.5', { qos: 1 });
    await client.endAsync();
  });
});

/** A new key and a certificate that it signs itself, put where the old ones are. */
async function makeCertificate({ certFile, keyFile }: { certFile: string; keyFile: string }): Promise<void> {
  const fresh = ['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'];
  const named = ['-days', '2', '-subj', '/CN=localhost', '-addext', 'subjectAltName=DNS:localhost'];
  const written = ['-keyout', keyFile, '-out', certFile];
  await promisify(execFile)(pathOf('openssl') as string, [...fresh, ...named, ...written]);
}

/** The fingerprint of the certificate that a door shows to whoever connects now. */
function shownBy(url: string): Promise<string> {
  const { hostname: host, port } = new URL(url);
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port: Number(port), servername: 'localhost', rejectUnauthorized: false });
    socket.on('error', reject);
    socket.on('secureConnect', () => {
      resolve(socket.getPeerCertificate().fingerprint256);
      socket.end();
    });
  });
}
