/** What servers elsewhere share in the house file: an address, a user, a secret kept out of it, an authority. */

import { z } from 'zod';
import { type FieldNote, field } from './field.ts';
import { path } from './house-fields.ts';

/** A field that may be left out, and is then null. */
export function orNull<T extends z.ZodType>(schema: T) {
  return schema.optional().transform((value) => value ?? null);
}

/**
 * An address of one of these protocols, such as "https:", that passes `isFit`. One with a user or password in
 * it is refused before anything else, so that no fault repeats a secret.
 */
export function serverAddress(
  protocols: readonly string[],
  note: Omit<FieldNote, 'fault'>,
  isFit: (url: URL) => boolean = () => true,
) {
  const text = z
    .string()
    .max(1024)
    .transform((written, context) => {
      const url = URL.canParse(written) ? new URL(written) : null;
      const isServer = url !== null && url.hostname !== '' && protocols.includes(url.protocol);
      // Where the address cannot be read, what stands before an @ may be a password.
      const hasSecret = isServer ? url.username !== '' || url.password !== '' : written.includes('@');
      if (hasSecret)
        context.addIssue({ code: 'custom', message: 'secret', params: { fault: 'HOUSE_SECRET' } });
      else if (!isServer || !isFit(url)) context.addIssue({ code: 'custom', message: 'form' });
      return written;
    });
  return field(text, { ...note, fault: 'HOUSE_FORM' });
}

/** The name under which a server knows this house. */
export function userAt(server: string, example: string) {
  return orNull(
    field(z.string().min(1).max(256), {
      says: `The name that the ${server} knows this house by.`,
      rule: 'text of 1 to 256 characters',
      advice: `Leave it out where the ${server} asks for none.`,
      examples: [example],
    }),
  );
}

type Secret = { secret: 'password' | 'token' | 'secret'; whose?: string };

/** The file that holds a secret, such as `/etc/springhouse/broker.password`. */
export function secretFile({ secret, whose = 'the' }: Secret, example: string) {
  return orNull(
    path({
      says: `A file that holds ${whose} ${secret} and nothing else, readable by its owner and group alone. A path that is not absolute counts from the folder of the house file.`,
      rule: `the path of a file that holds the ${secret}`,
      examples: [`/etc/springhouse/${example}`],
    }),
  );
}

/** The environment variable that holds a secret, such as the one of `example`. */
export function secretEnv({ secret, whose = 'the' }: Secret, example: string) {
  return orNull(
    field(z.string().regex(/^[A-Z_][A-Z0-9_]{0,127}$/), {
      says: `The environment variable that holds ${whose} ${secret}, instead of a file.`,
      rule: 'the name of an environment variable in capitals',
      advice: `Write the name of the variable, not the ${secret}.`,
      fault: 'HOUSE_FORM',
      isPrivate: true,
      examples: [example],
    }),
  );
}

/** The certificate of an authority that the machine does not know. */
export function authorityFile(server: string) {
  return orNull(
    path({
      says: `The certificate of your own authority in PEM, for ${server} that no public authority vouches for. A path that is not absolute counts from the folder of the house file.`,
      rule: 'the path of a certificate',
      examples: ['/etc/springhouse/ca.pem'],
    }),
  );
}
