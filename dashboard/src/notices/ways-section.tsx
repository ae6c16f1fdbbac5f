import { useState } from 'preact/hooks';
import type { LetterLine, WayView } from '../../../shared/contract/notify.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { kindName } from '../../../shared/sentences/way-words.ts';
import { formatDate } from '../../../shared/units/format.ts';
import { Lettered } from '../words/phrases.tsx';
import { askLetters, testWay } from './ask-notify.ts';
import type { Speaking } from './use-voice.ts';

/** By which ways the house speaks: whether each works, when it last proved itself, a test, and the journal. */
export function WaysSection({
  nowMs,
  speaking,
  speech,
}: {
  nowMs: number;
  speaking: Speaking;
  speech: Speech;
}) {
  const { askAgain, voice } = speaking;
  if (voice === null) return null;
  return (
    <section>
      <h2>
        Ways <small>who is told, and how</small>
      </h2>
      <table class="timetable ways">
        <tbody>
          {voice.ways.ways.map((way) => (
            <WayRow key={way.id} {...{ nowMs, speech, way }} onTested={askAgain} />
          ))}
        </tbody>
      </table>
      <Journal speech={speech} />
    </section>
  );
}

function WayRow({
  nowMs,
  onTested,
  speech,
  way,
}: {
  nowMs: number;
  onTested: () => void;
  speech: Speech;
  way: WayView;
}) {
  const [test, setTest] = useState<{ state: 'resting' | 'testing' } | { state: 'done'; text: string }>({
    state: 'resting',
  });
  async function press() {
    setTest({ state: 'testing' });
    const tested = await testWay(way.id);
    const text =
      tested === null
        ? 'The house did not answer.'
        : tested.ok
          ? 'It arrived.'
          : `It did not arrive: ${tested.why}.`;
    setTest({ state: 'done', text });
    onTested();
  }
  return (
    <tr>
      <td>
        <b>{way.id}</b>, {kindName(way.kind)}
        <small>{way.leadsTo}</small>
        <small>{standing(way, { nowMs, speech })}</small>
        <span class="acts">
          <button
            type="button"
            class="plain"
            disabled={test.state === 'testing'}
            onClick={() => void press()}
          >
            Test {way.id}
          </button>
          <span class="spoken" role="status">
            {test.state === 'done' && test.text}
          </span>
        </span>
      </td>
    </tr>
  );
}

/** How a way stands: `Fails since 6:10: connection refused. 3 letters wait.` */
function standing(way: WayView, { nowMs, speech }: { nowMs: number; speech: Speech }): string {
  const at = (atMs: number) => {
    const day = formatDate(atMs, speech.zone);
    return `${clockText(atMs, speech)}${day === formatDate(nowMs, speech.zone) ? '' : ` on ${day}`}`;
  };
  const proved = way.provedAtMs === null ? 'Never proved.' : `Last proved at ${at(way.provedAtMs)}.`;
  const waits =
    way.waiting === 0 ? '' : ` ${way.waiting === 1 ? 'One letter waits' : `${way.waiting} letters wait`}.`;
  if (way.failingSinceMs !== null)
    return `Fails since ${at(way.failingSinceMs)}: ${way.fault}. ${proved}${waits}`;
  const fault = way.fault === null ? '' : ` Last try: ${way.fault}.`;
  return `${proved}${fault}${waits}`;
}

/** What became of letters, in words. */
const stateNames: Readonly<Record<LetterLine['state'], string>> = {
  waiting: 'waits',
  sent: 'arrived',
  refused: 'did not arrive',
  elsewhere: 'arrived by another way',
};

function Journal({ speech }: { speech: Speech }) {
  const [lines, setLines] = useState<readonly LetterLine[] | null>(null);
  const [open, setOpen] = useState(false);
  function press() {
    setOpen(!open);
    if (!open) void askLetters().then(setLines);
  }
  return (
    <>
      <div class="acts">
        <button type="button" class="plain" aria-expanded={open} onClick={press}>
          {open ? 'Hide the journal' : 'What was sent'}
        </button>
      </div>
      {open && lines !== null && lines.length === 0 && <p class="note">Nothing was sent yet.</p>}
      {open && lines !== null && lines.length > 0 && (
        <table class="timetable journal">
          <tbody>
            {lines.map((line) => (
              <tr key={line.letterSeq}>
                <th scope="row">{clockText(line.madeAtMs, speech)}</th>
                <td>
                  <Lettered text={line.subject} />
                  <small>
                    to {line.receiver} by {line.way}: {stateNames[line.state]}
                    {line.fault !== null && `, ${line.fault}`}
                  </small>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}
