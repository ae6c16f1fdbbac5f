/** How the command line speaks to a house that runs: over the socket in its data folder. */
import { request } from 'node:http';
import { ownerSocketOf } from './open-doors.ts';

/** What came back: the answer, a refusal of the house, or that none runs there. */
export type Answered =
  | { is: 'answer'; body: unknown }
  | { is: 'refused'; code: string; message: string; body: unknown }
  | { is: 'away' };

/** How long a house may take to answer; hashing a key and opening doors take well under a second. */
const answerMsMax = 10_000;

/** Asks the house of a data folder; a body makes it a post. Rejects where the house stops in mid-answer. */
export function askOwner(dataDir: string, path: string, body?: object): Promise<Answered> {
  return new Promise((resolve, reject) => {
    const asked = request(
      {
        socketPath: ownerSocketOf(dataDir),
        path,
        method: body === undefined ? 'GET' : 'POST',
        headers: { host: 'localhost', 'content-type': 'application/json' },
        timeout: answerMsMax,
      },
      (answer) => {
        const chunks: Buffer[] = [];
        answer.on('data', (chunk: Buffer) => chunks.push(chunk));
        answer.on('error', reject);
        answer.on('end', () => {
          const text = Buffer.concat(chunks).toString();
          const parsed = JSON.parse(text) as { code?: string; message?: string };
          if ((answer.statusCode ?? 500) < 400) return resolve({ is: 'answer', body: parsed });
          resolve({
            is: 'refused',
            code: parsed.code ?? 'HTTP_BUG',
            message: parsed.message ?? text,
            body: parsed,
          });
        });
      },
    );
    asked.on('timeout', () => asked.destroy(new Error(`no answer in ${answerMsMax} ms`)));
    asked.on('error', (error: NodeJS.ErrnoException) => {
      // No socket, or one that a killed run left behind.
      if (error.code === 'ENOENT' || error.code === 'ECONNREFUSED') resolve({ is: 'away' });
      else reject(error);
    });
    asked.end(body === undefined ? undefined : JSON.stringify(body));
  });
}
