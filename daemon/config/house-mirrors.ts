/** Where a copy of the readings goes: servers with the InfluxDB v2 write API. */

import { z } from 'zod';
import { field } from './field.ts';
import { id, path, span } from './house-fields.ts';

const word = (says: string, example: string) =>
  field(z.string().min(1).max(256), {
    says,
    rule: 'text of 1 to 256 characters',
    advice: 'Write the name as the server shows it.',
    examples: [example],
  });

/** One mirror of the house file. */
export const mirror = z
  .strictObject({
    id: id('What the page and the log call this mirror.'),
    url: field(z.string().max(1024).transform(serverUrl), {
      says: 'The server: http:// or https://, its host and port, and the path before /api/v2 where there is one.',
      rule: 'an http:// or https:// address without user, password or query in it',
      advice: 'Write http://host:8086; the token goes in a file.',
      fault: 'HOUSE_FORM',
      examples: ['http://127.0.0.1:8086'],
    }),
    org: word('The organisation at the server that the bucket belongs to.', 'larkfell').default(
      'springhouse',
    ),
    bucket: word('The bucket that readings are written to.', 'springhouse').default('springhouse'),
    tokenFile: path({
      says: 'A file that holds the server’s token and nothing else, readable by its owner and group alone. A path that is not absolute counts from the folder of the house file.',
      rule: 'the path of a file that holds the token',
      examples: ['/etc/springhouse/mirror.token'],
    }).optional(),
    tokenEnv: field(z.string().regex(/^[A-Z_][A-Z0-9_]{0,127}$/), {
      says: 'The environment variable that holds the token, instead of a file.',
      rule: 'the name of an environment variable in capitals',
      advice: 'Write the name of the variable, not the token.',
      fault: 'HOUSE_FORM',
      isPrivate: true,
      examples: ['SPRINGHOUSE_MIRROR_TOKEN'],
    }).optional(),
    caFile: path({
      says: 'The certificate of your own authority in PEM, for an https:// server that no public authority vouches for. A path that is not absolute counts from the folder of the house file.',
      rule: 'the path of a certificate',
      examples: ['/etc/springhouse/ca.pem'],
    }).optional(),
    every: span(
      { min: 1_000, max: 86_400_000 },
      { says: 'How often new readings are sent.', between: '1 s to 24 h', examples: ['10s'] },
    ).prefault('10s'),
    resend: span(
      { min: 0, max: 3_600_000 },
      {
        says: 'After an outage, what was sent within so long before it is sent again: for a server that says it has readings before they are on its disk. Give it only where a point that comes twice is kept once.',
        between: '0 s to 1 h',
        examples: ['60s'],
      },
    ).prefault('0s'),
  })
  .transform(({ tokenFile, tokenEnv, caFile, every, resend, ...rest }) => ({
    ...rest,
    tokenFile: tokenFile ?? null,
    tokenEnv: tokenEnv ?? null,
    caFile: caFile ?? null,
    everyMs: every,
    resendMs: resend,
  }));

/** Refuses an address with a user or password in it before anything else, so that no fault repeats a secret. */
function serverUrl(text: string, context: z.RefinementCtx): string {
  const url = URL.canParse(text) ? new URL(text) : null;
  const isServer = url !== null && url.hostname !== '' && /^https?:$/.test(url.protocol);
  if (text.includes('@')) {
    context.addIssue({ code: 'custom', message: 'secret', params: { fault: 'HOUSE_SECRET' } });
  } else if (!isServer || url.search !== '' || url.hash !== '') {
    context.addIssue({ code: 'custom', message: 'form' });
  }
  return text.replace(/\/+$/, '');
}
