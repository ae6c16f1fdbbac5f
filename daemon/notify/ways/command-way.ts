import { type ChildProcess, spawn } from 'node:child_process';
import type { Letter } from '../../../shared/contract/notify.ts';
import { type Sent, sendMsMax, type Way, whyOf } from '../way.ts';

export type CommandOptions = {
  id: string;
  /** The program and its arguments; no shell reads them. */
  run: readonly string[];
  /** For tests: how long a run may take. */
  sendMs?: number;
};

/** What a program that fails is heard to say, in bytes; more is not read. */
const complaintMax = 2_000;

/**
 * Opens a way that starts a program for each letter, with the letter's text on its input and its weight,
 * code and id in its environment. An exit code of 0 means that the letter arrived.
 */
export function openCommandWay({ id, run, sendMs = sendMsMax }: CommandOptions): Way {
  const running = new Set<ChildProcess>();
  return {
    id,
    kind: 'command',
    leadsTo: run[0] ?? '',
    send: (letter) => start({ run, letter, sendMs, running }),
    close: async () => {
      for (const child of running) child.kill('SIGKILL');
    },
  };
}

type Start = { run: readonly string[]; letter: Letter; sendMs: number; running: Set<ChildProcess> };

function start({ run, letter, sendMs, running }: Start): Promise<Sent> {
  const [program = '', ...args] = run;
  return new Promise((resolve) => {
    let complaint = '';
    let late = false;
    const child = spawn(program, args, { stdio: ['pipe', 'ignore', 'pipe'], env: environmentOf(letter) });
    running.add(child);
    const timer = setTimeout(() => {
      late = true;
      child.kill('SIGKILL');
    }, sendMs);
    const end = (sent: Sent): void => {
      clearTimeout(timer);
      running.delete(child);
      resolve(sent);
    };
    child.stderr.on('data', (chunk: Buffer) => {
      if (complaint.length < complaintMax) complaint += chunk.toString('utf8');
    });
    // A program that reads nothing closes its input.
    child.stdin.on('error', () => {});
    child.on('error', (error) => end({ is: 'failed', why: whyOf(error) }));
    child.on('exit', (code, signal) => {
      if (code === 0) return end({ is: 'sent' });
      const said = whyOf(complaint);
      const why = late ? `still ran after ${sendMs / 1000} s` : `ended with ${code ?? signal}`;
      end({ is: 'failed', why: said === '' ? why : `${why}: ${said}` });
    });
    child.stdin.end(`${letter.text}\n`);
  });
}

/** The program gets the path and the letter, and nothing of what the house was started with: no secrets. */
function environmentOf(letter: Letter): Record<string, string> {
  return {
    PATH: '/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin',
    LANG: 'C.UTF-8',
    SPRINGHOUSE_LETTER: letter.id,
    SPRINGHOUSE_WEIGHT: letter.weight,
    SPRINGHOUSE_CODE: letter.code ?? letter.why,
    SPRINGHOUSE_WHY: letter.why,
    SPRINGHOUSE_RECEIVER: letter.receiver,
    SPRINGHOUSE_SUBJECT: letter.subject,
  };
}
