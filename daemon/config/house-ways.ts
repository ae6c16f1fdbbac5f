/** How the house speaks up: the ways on which letters leave it, the people who are told, the watcher outside. */

import { z } from 'zod';
import { plainIdPattern } from '../../shared/contract/ids.ts';
import { isNamedZone } from '../../shared/units/zone.ts';
import { field } from './field.ts';
import { choice, flag, id, name, port, reference, span } from './house-fields.ts';
import { authorityFile, secretEnv, secretFile, serverAddress, userAt } from './server-fields.ts';

/** The id of the page as a way; no way of the file may take it. */
export const pageWayId = 'page';

/** The most words that a command may have. */
const commandWordsMax = 32;

const wayId = id('What people and the journal call this way.');

const itsSecret = {
  secretFile: secretFile({ secret: 'secret' }, 'hook.secret'),
  secretEnv: secretEnv({ secret: 'secret' }, 'SPRINGHOUSE_HOOK_SECRET'),
};

const webAddress = (says: string) =>
  serverAddress(['http:', 'https:'], {
    says,
    rule: 'an http:// or https:// address without user or password in it',
    advice: 'Write https://host/path; the secret goes in a file.',
    examples: ['https://example.org/springhouse'],
  });

const address = (says: string) =>
  field(
    z
      .string()
      .max(254)
      .regex(/^[^\s@<>,;"]+@[^\s@<>,;"]+$/),
    {
      says,
      rule: 'one e-mail address',
      advice: 'Write the address alone, such as dairy@example.org.',
      fault: 'HOUSE_FORM',
      examples: ['dairy@example.org'],
    },
  );

const commandWay = z.strictObject({
  id: wayId,
  kind: z.literal('command'),
  run: field(
    z
      .array(z.string().max(4096))
      .min(1)
      .meta({ maxItems: commandWordsMax })
      .refine((words) => words.length <= commandWordsMax && words[0] !== ''),
    {
      says: 'The program and its arguments, started without a shell. The letter comes on its input, its weight in SPRINGHOUSE_WEIGHT.',
      rule: `a list of 1 to ${commandWordsMax} words, the program first`,
      advice: 'Write the program in full, then each argument as an item of its own.',
    },
  ),
});

const emailWay = z.strictObject({
  id: wayId,
  kind: z.literal('email'),
  host: field(z.string().min(1).max(253), {
    says: 'The mail server that takes letters for delivery.',
    rule: 'the name or address of a host',
    advice: 'Write the name that the mail provider gives for outgoing mail.',
    examples: ['mail.example.org'],
  }),
  port: port('The port of that server; 465 for tls from the first byte, 587 for starttls.').default(587),
  security: choice(
    ['starttls', 'tls', 'none'],
    'How the way to the server is closed to others; none only for a server on this machine.',
  ).default('starttls'),
  user: userAt('server', 'dairy@example.org'),
  passwordFile: secretFile({ secret: 'password' }, 'mail.password'),
  passwordEnv: secretEnv({ secret: 'password' }, 'SPRINGHOUSE_MAIL_PASSWORD'),
  caFile: authorityFile('a server'),
  from: address('The address that letters come from.'),
  to: address('The address that letters go to.'),
});

const webhookWay = z.strictObject({
  id: wayId,
  kind: z.literal('webhook'),
  url: webAddress('Where letters are posted, as CloudEvents in JSON.'),
  ...itsSecret,
});

const mqttWay = z
  .strictObject({
    id: wayId,
    kind: z.literal('mqtt'),
    source: reference(
      'The broker, by the id of its source; broker stands for the broker of this house.',
      'source',
    ),
    topic: field(
      z
        .string()
        .min(1)
        .max(512)
        .regex(/^[^#+/\0]+(\/[^#+/\0]+)*$/),
      {
        says: 'The topic on which letters are said; springhouse/<house>/letter/<way> unless given.',
        rule: 'a topic without wildcards (+ and #) and without empty levels',
        advice: 'Give the topic that the device listens to.',
        fault: 'HOUSE_FORM',
        examples: ['kitchen/bell'],
      },
    ).optional(),
  })
  .transform(({ topic, ...rest }) => ({ ...rest, topic: topic ?? null }));

/** One way of the house file. */
export const way = z.discriminatedUnion('kind', [commandWay, emailWay, webhookWay, mqttWay]);

const timeOfDay = (says: string, example: string) => {
  const text = z.string().meta({ examples: [example] });
  const value = text.transform((written, context): number => {
    const match = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(written.trim());
    if (match !== null) return Number(match[1]) * 60 + Number(match[2]);
    context.addIssue({ code: 'custom', message: 'form' });
    return z.NEVER;
  });
  return field(value, {
    says,
    rule: 'a time of day from 0:00 to 23:59 in quotes',
    advice: 'Write it with a colon and in quotes, such as "21:30".',
    fault: 'HOUSE_FORM',
    examples: [example],
  });
};

const quiet = field(
  z.strictObject({
    from: timeOfDay('When they begin.', '21:30'),
    to: timeOfDay('When they end.', '5:00'),
    wake: choice(
      ['alarm', 'warn', 'nothing'],
      'What is told all the same: alarms, warnings and alarms, or nothing.',
    ).default('alarm'),
  }),
  {
    says: 'Hours in which this person is left alone: from, to (they may pass midnight) and wake, the least weight that is told all the same (alarm, warn or nothing; alarm unless given).',
    rule: 'a mapping with from, to and wake',
    advice: 'Write quiet: { from: "21:30", to: "5:00", wake: alarm }.',
  },
);

/** One person who is told. */
export const person = z
  .strictObject({
    id: id('What the rest of the file and the journal call this person.'),
    name: name('What people call this person; the id unless given.', 'Milker').optional(),
    ways: field(z.array(z.string().regex(plainIdPattern)).min(1).meta({ maxItems: 16 }), {
      says: 'The ways, the dearest first: a tell takes the first that works, a warning two, an alarm all. page stands for the page. The page, then all ways of the house in their order, unless given.',
      rule: 'a list of ids of ways in this file',
      advice: 'Write [page, bell, mail].',
    }).optional(),
    from: choice(['tell', 'warn', 'alarm'], 'The least weight that this person is told.').default('tell'),
    after: span(
      { min: 0, max: 86_400_000 },
      {
        says: 'For a second person: told only of warnings and alarms that nobody has seen for so long.',
        between: '0 s to 24 h',
        examples: ['10m'],
      },
    ).prefault('0s'),
    quiet: quiet.optional(),
    digest: timeOfDay('When the digest of the last day comes; none unless given.', '6:00').optional(),
    units: choice(
      ['F', 'C'],
      'The unit in this person’s letters; that of the house unless given.',
    ).optional(),
    zone: field(z.string().refine(isNamedZone), {
      says: 'The time zone in this person’s letters; that of the house unless given.',
      rule: 'a time zone of the IANA list, such as America/Denver',
      advice: 'Write region and city as "timedatectl list-timezones" shows them.',
      fault: 'HOUSE_CHOICE',
      examples: ['Europe/Vienna'],
    }).optional(),
    language: choice(['en'], 'The language of this person’s letters.').default('en'),
  })
  .transform(({ name: named, ways, after, quiet: hours, digest, units, zone, ...rest }) => ({
    ...rest,
    name: named ?? rest.id,
    ways: ways ?? null,
    afterMs: after,
    quiet: hours === undefined ? null : { fromMin: hours.from, toMin: hours.to, wake: hours.wake },
    digestMin: digest ?? null,
    units: units ?? null,
    zone: zone ?? null,
  }));

/** The watcher outside, which hears that the house is alive. */
export const watcher = field(
  z
    .strictObject({
      url: webAddress(
        'Where "all well" is posted; what watches there must raise its voice when it stays away.',
      ),
      every: span(
        { min: 60_000, max: 86_400_000 },
        { says: 'How often.', between: '1 minute to 24 hours', examples: ['15m'] },
      ).prefault('15m'),
      ...itsSecret,
      evenIfTroubled: flag(
        'Whether it is posted also while the house cannot keep readings; a watcher then hears of a dead house alone.',
      ).default(false),
    })
    .transform(({ every, ...rest }) => ({ ...rest, everyMs: every })),
  {
    says: 'A watcher outside of the house that is told regularly that all is well, so that a dead house is noticed.',
    rule: 'a mapping with url, every, secretFile or secretEnv, and evenIfTroubled',
    advice: 'Write the fields under watcher, indented by two spaces, or leave watcher out.',
  },
);
