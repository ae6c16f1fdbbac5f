/** Signatures of outgoing calls as Standard Webhooks 1.0.0 describes them (symmetric, version v1). */
import { createHmac } from 'node:crypto';

const secretPrefix = 'whsec_';

/**
 * The key of a secret: base64 after `whsec_`, else the bytes of the text. Null where it is shorter than 24
 * bytes or longer than 64, the bounds that the specification sets.
 */
export function signingKey(secret: string): Buffer | null {
  const key = secret.startsWith(secretPrefix)
    ? Buffer.from(secret.slice(secretPrefix.length), 'base64')
    : Buffer.from(secret, 'utf8');
  return key.length < 24 || key.length > 64 ? null : key;
}

/** The three headers of a call: `v1,` and the base64 of HMAC-SHA256 over `id.timestamp.body`. */
export function signedHeaders(
  key: Buffer,
  call: { id: string; atMs: number; body: string },
): Record<string, string> {
  const timestamp = String(Math.floor(call.atMs / 1000));
  const signature = createHmac('sha256', key).update(`${call.id}.${timestamp}.${call.body}`).digest('base64');
  return {
    'webhook-id': call.id,
    'webhook-timestamp': timestamp,
    'webhook-signature': `v1,${signature}`,
  };
}
