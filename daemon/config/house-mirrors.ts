/** Where a copy of the readings goes: servers with the InfluxDB v2 write API. */

import { z } from 'zod';
import { field } from './field.ts';
import { id, span } from './house-fields.ts';
import { authorityFile, secretEnv, secretFile, serverAddress } from './server-fields.ts';

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
    url: serverAddress(
      ['http:', 'https:'],
      {
        says: 'The server: http:// or https://, its host and port, and the path before /api/v2 where there is one.',
        rule: 'an http:// or https:// address without user, password or query in it',
        advice: 'Write http://host:8086; the token goes in a file.',
        examples: ['http://127.0.0.1:8086'],
      },
      (url) => url.search === '' && url.hash === '',
    ),
    org: word('The organisation at the server that the bucket belongs to.', 'larkfell').default(
      'springhouse',
    ),
    bucket: word('The bucket that readings are written to.', 'springhouse').default('springhouse'),
    tokenFile: secretFile({ secret: 'token', whose: 'the server’s' }, 'mirror.token'),
    tokenEnv: secretEnv({ secret: 'token', whose: 'the server’s' }, 'SPRINGHOUSE_MIRROR_TOKEN'),
    caFile: authorityFile('an https:// server'),
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
  .transform(({ url, every, resend, ...rest }) => ({
    ...rest,
    url: url.replace(/\/+$/, ''),
    everyMs: every,
    resendMs: resend,
  }));
