/** The certificate of the doors: read, checked before it is used, read again when it was renewed. */
import { createPrivateKey, X509Certificate } from 'node:crypto';
import { readFile, stat } from 'node:fs/promises';

/** The largest certificate or key file that is read, in bytes. */
const pemBytesMax = 65_536;

/** How long before its end a certificate is told of. */
const soonMs = 21 * 86_400_000;

export type Certificate = {
  cert: string;
  key: string;
  /** Until when it is valid, epoch ms. */
  untilMs: number;
  /** Names and addresses that it is for. */
  names: string[];
};

/** Reads certificate and key in PEM, or says as a fault why they cannot be used; no fault repeats a key. */
export async function readCertificate(
  { certFile, keyFile }: { certFile: string; keyFile: string },
  nowMs: number,
): Promise<{ ok: true; certificate: Certificate } | { ok: false; message: string }> {
  const cert = await readPem(certFile);
  if (cert === null) return fault('certificate', 'a PEM file that this user may read', certFile);
  const key = await readPem(keyFile);
  if (key === null) return fault('key', 'a PEM file that this user may read', keyFile);
  const { mode } = await stat(keyFile);
  if ((mode & 0o007) !== 0) {
    return fault(
      'key',
      'closed to others than its owner and group',
      `${keyFile} with mode ${(mode & 0o777).toString(8)}`,
    );
  }
  try {
    const leaf = new X509Certificate(cert);
    if (!leaf.checkPrivateKey(createPrivateKey(key))) {
      return fault('key', 'the one of the certificate', 'another');
    }
    const [fromMs, untilMs] = [Date.parse(leaf.validFrom), Date.parse(leaf.validTo)];
    if (nowMs > untilMs || nowMs < fromMs) {
      return fault('certificate', 'valid today', `one from ${leaf.validFrom} to ${leaf.validTo}`);
    }
    return { ok: true, certificate: { cert, key, untilMs, names: namesOf(leaf) } };
  } catch (error) {
    return fault('certificate and key', 'PEM', (error as Error).message);
  }
}

/** Returns whether a certificate ends soon, so that somebody should renew it. */
export function endsSoon(untilMs: number, nowMs: number): boolean {
  return untilMs - nowMs < soonMs;
}

async function readPem(path: string): Promise<string | null> {
  try {
    const { size } = await stat(path);
    return size > pemBytesMax ? null : await readFile(path, 'utf8');
  } catch {
    return null;
  }
}

function namesOf({ subjectAltName = '' }: X509Certificate): string[] {
  return subjectAltName
    .split(/, ?/)
    .map((part) => part.replace(/^(DNS|IP Address):/, ''))
    .filter((name) => name !== '');
}

function fault(thing: string, rule: string, got: string): { ok: false; message: string } {
  return {
    ok: false,
    message: `DOOR_CERTIFICATE: the ${thing} of the door must be ${rule}, got ${got}. Give --cert and --key of a certificate with its key in PEM, the key chmod 640.`,
  };
}
