import type { PersonView } from '../../shared/contract/door.ts';

/** Returns the people and where they are signed in, as lines for a terminal. */
export function peopleTable(people: readonly PersonView[], nowMs: number): string[] {
  if (people.length === 0) return ['Nobody is paired. springhouse people code makes a code to come in with.'];
  const width = Math.max(...people.map(({ id }) => id.length));
  return people.flatMap(({ id, name, sessions }) => [
    `${id.padEnd(width)}  ${plain(name)}`,
    ...sessions.map(
      (session) =>
        `${' '.repeat(width)}  session ${session.id}  used ${agoText(nowMs - session.usedAtMs)}  ${plain(session.where)}`,
    ),
  ]);
}

function agoText(spanMs: number): string {
  const hours = Math.max(0, Math.floor(spanMs / 3_600_000));
  if (hours === 0) return 'within the hour';
  return hours < 48 ? `${hours} h ago` : `${Math.floor(hours / 24)} days ago`;
}

/** Without signs that steer a terminal. */
function plain(text: string): string {
  return text.replace(/\p{C}/gu, '');
}
