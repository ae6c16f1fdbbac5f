import { createHash } from 'node:crypto';
import { createTransport } from 'nodemailer';
import type { Letter } from '../../../shared/contract/notify.ts';
import { type Sent, sendMsMax, type Way, whyOf } from '../way.ts';

export type EmailOptions = {
  id: string;
  host: string;
  port: number;
  /** `tls` from the first byte, `starttls` before anything is said, `none` in the clear. */
  security: 'tls' | 'starttls' | 'none';
  user: string | null;
  password: string | null;
  /** The certificate of a private authority in PEM; null where public ones count. */
  ca: string | null;
  from: string;
  to: string;
};

/** The part of a mailer that is used; its own types change from release to release. */
type Mailer = {
  sendMail(mail: object): Promise<unknown>;
  close(): void;
};

/**
 * Opens a way by e-mail: a letter arrived where the server took it for delivery. The Message-ID is made from
 * the letter's id, so that a repeat is known as one. Plain text only.
 */
export function openEmailWay(options: EmailOptions): Way {
  const { id, from, to } = options;
  const mailer = createTransport(settingsOf(options)) as unknown as Mailer;
  return {
    id,
    kind: 'email',
    leadsTo: to,
    send: async (letter) => {
      try {
        await mailer.sendMail({ from, to, ...mailOf(letter, from) });
        return { is: 'sent' };
      } catch (error) {
        return failureOf(error);
      }
    },
    close: async () => mailer.close(),
  };
}

function settingsOf(options: EmailOptions): object {
  const { host, port, security, user, password, ca } = options;
  return {
    host,
    port,
    secure: security === 'tls',
    requireTLS: security === 'starttls',
    ignoreTLS: security === 'none',
    connectionTimeout: sendMsMax,
    greetingTimeout: sendMsMax,
    socketTimeout: sendMsMax,
    // A letter names no file and no address to fetch.
    disableFileAccess: true,
    disableUrlAccess: true,
    ...(user === null ? {} : { auth: { user, pass: password ?? '' } }),
    ...(ca === null ? {} : { tls: { ca } }),
  };
}

function mailOf(letter: Letter, from: string): object {
  const digest = createHash('sha256')
    .update(JSON.stringify([letter.house, letter.receiver, letter.id]))
    .digest('hex');
  const domain = from.slice(from.lastIndexOf('@') + 1);
  return {
    subject: letter.subject,
    text: `${letter.text}\n`,
    date: new Date(letter.madeAtMs),
    messageId: `<${digest.slice(0, 32)}@${domain}>`,
    ...(letter.weight === 'alarm' ? { priority: 'high' } : {}),
    headers: { 'Auto-Submitted': 'auto-generated' },
  };
}

/** A 5xx answer to the letter itself will stay one; everything else may pass. */
function failureOf(error: unknown): Sent {
  const { responseCode, command } = error as { responseCode?: number; command?: string };
  const why = responseCode === undefined ? whyOf(error) : `answered ${responseCode}: ${whyOf(error)}`;
  const isFinal = responseCode !== undefined && responseCode >= 550 && command === 'DATA';
  return { is: isFinal ? 'refused' : 'failed', why };
}
