import { useEffect, useState } from 'preact/hooks';
import type { PairingView, PersonView } from '../../../shared/contract/door.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatDate } from '../../../shared/units/format.ts';
import { askDoor, askPeople, endSession, makeCode, type Posted, removePerson, signOut } from './ask-door.ts';
import { QrPicture } from './qr-picture.tsx';

type Seen = { people: readonly PersonView[]; own: string };

/** Who may come in and where they are signed in, on a house that is open; nothing on one that is not. */
export function PeopleSection({ speech }: { speech: Speech }) {
  const [seen, setSeen] = useState<Seen | null>(null);
  const [pairing, setPairing] = useState<PairingView | null>(null);
  const [why, setWhy] = useState('');
  async function look() {
    const door = await askDoor();
    const people = door?.person ? await askPeople() : null;
    setSeen(people === null || !door?.person ? null : { people, own: door.person.id });
  }
  useEffect(() => {
    void look();
  }, []);
  async function act<Answer>(doing: Promise<Posted<Answer>>, then: (answer: Answer) => void = () => {}) {
    const done = await doing;
    setWhy(done.ok ? '' : done.why);
    if (done.ok) then(done.answer);
    await look();
  }
  if (seen === null) return null;
  return (
    <section class="people">
      <h2>
        People <small>who may come in</small>
      </h2>
      <table class="timetable">
        <tbody>
          {seen.people.map((person) => (
            <PersonRow
              key={person.id}
              isOwn={person.id === seen.own}
              person={person}
              speech={speech}
              onEnd={(session) => void act(endSession(session))}
              onRemove={() => void act(removePerson(person.id))}
            />
          ))}
        </tbody>
      </table>
      {pairing !== null && <Pairing pairing={pairing} speech={speech} />}
      <div class="acts">
        <button type="button" class="plain" onClick={() => void act(makeCode(), setPairing)}>
          Let somebody in
        </button>
        <button type="button" class="plain" onClick={() => void act(signOut(), () => location.reload())}>
          Sign out
        </button>
        <span class="spoken" role="status">
          {why}
        </span>
      </div>
    </section>
  );
}

/** A code to come in with, to be scanned off this screen or typed. */
function Pairing({ pairing, speech }: { pairing: PairingView; speech: Speech }) {
  return (
    <figure class="pairing">
      {pairing.qr.length > 0 && <QrPicture label="The pairing code, to scan" rows={pairing.qr} />}
      <figcaption>
        Scan it, or type <b class="code">{pairing.code}</b>. It is good once, until{' '}
        {clockText(pairing.goodUntilMs, speech)}.
      </figcaption>
    </figure>
  );
}

function PersonRow({
  isOwn,
  onEnd,
  onRemove,
  person,
  speech,
}: {
  isOwn: boolean;
  onEnd: (session: string) => void;
  onRemove: () => void;
  person: PersonView;
  speech: Speech;
}) {
  const [asked, setAsked] = useState(false);
  const others = person.sessions.filter(({ own }) => !own);
  return (
    <tr>
      <td>
        <b>{person.name}</b>
        {isOwn && ', you'}
        {person.sessions.length === 0 && <small>signed in nowhere</small>}
        {person.sessions.map((session) => (
          <small key={session.id}>
            {browserName(session.where)}, since {formatDate(session.sinceMs, speech.zone)}
            {session.own && ', this one'}
          </small>
        ))}
        <span class="acts">
          {others.map((session) => (
            <button key={session.id} type="button" class="plain" onClick={() => onEnd(session.id)}>
              End {browserName(session.where)}
            </button>
          ))}
          {!isOwn && (
            <button type="button" class="plain" onClick={() => (asked ? onRemove() : setAsked(true))}>
              {asked ? `Remove ${person.name} now` : `Remove ${person.name}`}
            </button>
          )}
        </span>
      </td>
    </tr>
  );
}

/** What people call the browser that names itself so: its maker's word and the machine, as far as they can be told. */
export function browserName(where: string): string {
  const browser = /(Firefox|Edg|Chrome|Safari)/.exec(where)?.[1] ?? 'a browser';
  const machine = /(Android|iPhone|iPad|Windows|Macintosh|Linux)/.exec(where)?.[1];
  return machine === undefined ? browser : `${browser.replace('Edg', 'Edge')} on ${machine}`;
}
