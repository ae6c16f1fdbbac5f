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

/** Where a mirror's token stands; at most one of the two is given. */
export type TokenPlace = {
  mirrorId: string;
  tokenFile: string | null;
  tokenEnv: string | null;
  folder: string;
};

/** A password (null where the source has none), or a fault worded for a person. */
export type ReadSecret = { ok: true; secret: string | null } | { ok: false; message: string };

/** What a secret is called and whose it is, for its faults. */
type Owned = { secret: 'password' | 'token' | 'secret'; owner: string };

/** Reads the password of a source; one line end after it is not part of it. No fault repeats a secret. */
export async function readSecret(place: SecretPlace): Promise<ReadSecret> {
  const owned: Owned = { secret: 'password', owner: `source ${place.sourceId}` };
  return readFrom(owned, { file: place.passwordFile, env: place.passwordEnv, folder: place.folder });
}

/** Reads the token of a mirror as `readSecret` does a password. */
export async function readToken({ mirrorId, tokenFile, tokenEnv, folder }: TokenPlace): Promise<ReadSecret> {
  return readFrom(
    { secret: 'token', owner: `mirror ${mirrorId}` },
    { file: tokenFile, env: tokenEnv, folder },
  );
}

/** Reads the password or secret of a way, or of the watcher, as `readSecret` does that of a source. */
export async function readWaySecret(place: {
  owner: string;
  secret: 'password' | 'secret';
  file: string | null;
  env: string | null;
  folder: string;
}): Promise<ReadSecret> {
  const { owner, secret, ...where } = place;
  return readFrom({ secret, owner }, where);
}

async function readFrom(
  owned: Owned,
  { file, env, folder }: { file: string | null; env: string | null; folder: string },
): Promise<ReadSecret> {
  if (env !== null) return fromVariable(owned, env);
  return file === null ? { ok: true, secret: null } : fromFile(owned, besideHouse(file, folder));
}

function fromVariable(owned: Owned, name: string): ReadSecret {
  const secret = readVariable(name);
  if (secret !== null) return { ok: true, secret };
  return fault(owned, 'Env', 'a variable that is set', `${name} without a value`);
}

async function fromFile(owned: Owned, path: string): Promise<ReadSecret> {
  const refuse = (rule: string, got: string) => fault(owned, 'File', rule, got);
  const file = await open(path).catch(() => null);
  if (file === null) return refuse('a file that this user may read', valueText(path));
  try {
    const { mode, size } = await file.stat();
    if ((mode & 0o007) !== 0) {
      const got = `${valueText(path)} with mode ${(mode & 0o777).toString(8)}`;
      return refuse('a file closed to others than its owner and group', got);
    }
    if (size > secretFileMax) return refuse(`at most ${secretFileMax} bytes`, `${size} bytes`);
    const secret = (await file.readFile('utf8')).replace(/\r?\n$/, '');
    return secret === ''
      ? refuse(`a file with the ${owned.secret} in it`, 'an empty one')
      : { ok: true, secret };
  } catch {
    return refuse('a file', valueText(path));
  } finally {
    await file.close();
  }
}

function fault({ secret, owner }: Owned, where: 'File' | 'Env', rule: string, got: string): ReadSecret {
  const advice = `Put the ${secret} in a file, chmod 640, and name it in ${secret}File, or set the variable.`;
  return {
    ok: false,
    message: `HOUSE_SECRET: ${secret}${where} of ${owner} must be ${rule}, got ${got}. ${advice}`,
  };
}

/** The certificate in PEM of an own authority (null where there is none), or a fault worded for a person. */
export async function readAuthority(place: {
  /** Whose it is, such as `source yard`. */
  owner: string;
  caFile: string | null;
  folder: string;
}): Promise<{ ok: true; pem: string | null } | { ok: false; message: string }> {
  if (place.caFile === null) return { ok: true, pem: null };
  const path = besideHouse(place.caFile, place.folder);
  const pem = await readFile(path, 'utf8').catch(() => '');
  if (pem.includes('-----BEGIN CERTIFICATE-----')) return { ok: true, pem };
  const thing = `caFile of ${place.owner}`;
  return {
    ok: false,
    message: `HOUSE_FILE: ${thing} must be a certificate in PEM that this user may read, got ${valueText(path)}. Give the path of the authority's certificate, or leave caFile out.`,
  };
}

function besideHouse(path: string, folder: string): string {
  return isAbsolute(path) ? path : join(folder, path);
}
