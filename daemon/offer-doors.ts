/** What a starting house says of its doors, and the offer to open them at the first run. Wiring. */
import { createInterface } from 'node:readline';
import { shutDoor } from '../shared/contract/door.ts';
import { doorPaper } from './door/door-paper.ts';
import type { HouseDoors } from './open-doors.ts';

/**
 * Says how the house stands open; a new one is offered to be opened. Where nobody sits at a terminal the
 * offer is the command. The house runs meanwhile.
 */
export async function offerDoors({ owner, people }: HouseDoors, isNew: boolean): Promise<void> {
  const say = (lines: readonly string[]) => process.stdout.write(`${lines.join('\n')}\n`);
  const isTerminal = process.stdin.isTTY === true && process.stdout.isTTY === true;
  if (people.isOpen()) {
    // Nobody can sign in yet, and a terminal is not a log: so a code may stand there.
    const nobody = people.list(null).length === 0;
    say(doorPaper(owner.opened(nobody && isTerminal), { isTerminal }));
    if (nobody && !isTerminal) say(['Nobody is paired yet: springhouse people code']);
    return;
  }
  if (!isNew) return;
  if (!isTerminal) {
    say(['To let phones and Wi-Fi probes of the home network in: springhouse open']);
    return;
  }
  const asking = createInterface({ input: process.stdin, output: process.stdout });
  asking.once('SIGINT', () => process.kill(process.pid, 'SIGINT'));
  asking.question('Let phones and Wi-Fi probes of the home network in? [y/N] ', (answer) => {
    asking.close();
    if (!/^y(es)?$/i.test(answer.trim())) {
      say(['It stays on this machine. Later: springhouse open']);
      return;
    }
    void owner.open(shutDoor).then((opened) => {
      say('pages' in opened ? doorPaper(opened, { isTerminal }) : [`${opened.code}: ${opened.message}`]);
    });
  });
}
