/** Passwords and certificates, which stand in files or variables and never in the house file. */

import { open, readFile } from 'node:fs/promises';
import { isAbsolute, join } from 'node:path';
import { readVariable } from './environment.ts';
import { valueText } from './fault.ts';

/** The largest file that is taken for a password, in bytes; a larger one is refused. */
const secretFileMax = 4096;

/** Where a source's password stands; at most one of the two is given. */
export type SecretPlace = {
  sourceId: string;
  passwordFile: string | null;
  passwordEnv: string | null;
  /** The folder of the house file, from which a relative path counts. */
  folder: string;
};

/** A password (null where the source has none), or a fault worded for a person. */
export type ReadSecret = { ok: true; secret: string | null } | { ok: false; message: string };

/** Reads the password of a source; one line end after it is not part of it. No fault repeats a secret. */
export async function readSecret(place: SecretPlace): Promise<ReadSecret> {
  if (place.passwordEnv !== null) return fromVariable(place.sourceId, place.passwordEnv);
  if (place.passwordFile === null) return { ok: true, secret: null };
  return fromFile(place.sourceId, besideHouse(place.passwordFile, place.folder));
}

function fromVariable(sourceId: string, name: string): ReadSecret {
  const secret = readVariable(name);
  if (secret !== null) return { ok: true, secret };
  return fault(`passwordEnv of source ${sourceId}`, 'a variable that is set', `${name} without a value`);
}

async function fromFile(sourceId: string, path: string): Promise<ReadSecret> {
  const thing = `passwordFile of source ${sourceId}`;
  const file = await open(path).catch(() => null);
  if (file === null) return fault(thing, 'a file that this user may read', valueText(path));
  try {
    const { mode, size } = await file.stat();
    if ((mode & 0o007) !== 0) {
      const got = `${valueText(path)} with mode ${(mode & 0o777).toString(8)}`;
      return fault(thing, 'a file closed to others than its owner and group', got);
    }
    if (size > secretFileMax) return fault(thing, `at most ${secretFileMax} bytes`, `${size} bytes`);
    const secret = (await file.readFile('utf8')).replace(/\r?\n$/, '');
    return secret === ''
      ? fault(thing, 'a file with the password in it', 'an empty one')
      : { ok: true, secret };
  } catch {
    return fault(thing, 'a file', valueText(path));
  } finally {
    await file.close();
  }
}

function fault(thing: string, rule: string, got: string): ReadSecret {
  const advice = 'Put the password in a file, chmod 640, and name it in passwordFile, or set the variable.';
  return { ok: false, message: `HOUSE_SECRET: ${thing} must be ${rule}, got ${got}. ${advice}` };
}

/** The certificate in PEM of a source's own authority (null where it has none), or a fault worded for a person. */
export async function readAuthority(place: {
  sourceId: string;
  caFile: string | null;
  folder: string;
}): Promise<{ ok: true; pem: string | null } | { ok: false; message: string }> {
  if (place.caFile === null) return { ok: true, pem: null };
  const path = besideHouse(place.caFile, place.folder);
  const pem = await readFile(path, 'utf8').catch(() => '');
  if (pem.includes('-----BEGIN CERTIFICATE-----')) return { ok: true, pem };
  const thing = `caFile of source ${place.sourceId}`;
  return {
    ok: false,
    message: `HOUSE_FILE: ${thing} must be a certificate in PEM that this user may read, got ${valueText(path)}. Give the path of the authority's certificate, or leave caFile out.`,
  };
}

function besideHouse(path: string, folder: string): string {
  return isAbsolute(path) ? path : join(folder, path);
}
