/** Letters in words: what a receiver reads of one notice, of a digest, of too many at once. */

import { isNotice, type RecordEvent } from '../contract/event.ts';
import type { LetterWhy } from '../contract/notify.ts';
import { capital } from './capital.ts';
import { eventSentence } from './event-sentence.ts';
import { clockText, type Speech } from './speech.ts';

/** What a letter is written from. */
export type LetterParts = {
  why: LetterWhy;
  /** The events that it tells of, oldest first. */
  events: readonly RecordEvent[];
  /** Events beyond those that are named. */
  more: number;
  houseName: string;
  simulated: boolean;
  recorded: boolean;
};

export type LetterText = { subject: string; text: string };

/** The longest subject; a longer one ends in an ellipsis. */
const subjectMax = 110;

/** Writes a letter in its receiver's words, units and zone. */
export function letterText(parts: LetterParts, speech: Speech): LetterText {
  const marks = [...(parts.simulated ? [simulatedMark] : []), ...(parts.recorded ? [] : [unrecordedMark])];
  const body = bodyOf(parts, speech);
  const first = body.split('\n')[0] ?? '';
  const subject = `${parts.simulated ? 'Simulated: ' : ''}${parts.houseName}: ${first}`;
  return { subject: cut(subject), text: [body, ...marks].join('\n') };
}

/** Said under every letter of an invented house. */
export const simulatedMark = 'This house is invented and its readings are simulated.';

/** Said under a letter whose event the disk refused to keep. */
export const unrecordedMark = 'Not recorded: the disk of the house refuses to write. Look at it soon.';

/** What a test of a way says. */
export const testText = 'A test: if you read this, letters arrive by this way.';

/** What stands before the sentence of a letter, by why it is written; empty where the sentence says it all. */
export function leadOf(why: LetterWhy): string {
  switch (why) {
    case 'first':
    case 'update':
    case 'over':
      return '';
    case 'again':
      return 'Not seen yet. ';
    case 'reminder':
      return 'As you asked, once more. ';
    case 'unseen':
      return 'Nobody has seen this yet. ';
    case 'held':
      return 'From the quiet hours. ';
    case 'calm':
      return 'It came back and stays. ';
    case 'standing':
      return 'As the jars before it in this set-up. ';
    case 'digest':
    case 'many':
    case 'test':
      return '';
    default:
      return why satisfies never;
  }
}

/** Said after the one word that stands for further warnings of a set-up. */
export const standingText =
  'Until a jar makes it there, or something changes, you are not warned of each one.';

function bodyOf(parts: LetterParts, speech: Speech): string {
  const { events, more, why } = parts;
  if (why === 'test') return testText;
  if (why === 'digest') return digestOf(events, more, speech);
  if (why === 'many') return manyOf(events, more, speech);
  const said = events.flatMap((event) => (isNotice(event) ? [eventSentence(event, speech)] : []));
  const standing = why === 'standing' ? ` ${standingText}` : '';
  return `${leadOf(why)}${said.join(' ')}${standing}`;
}

function digestOf(events: readonly RecordEvent[], more: number, speech: Speech): string {
  const count = events.length + more;
  if (count === 0) return 'The last day: nothing to tell. The house is awake.';
  const head = `The last day: ${counted(count)}.`;
  return [head, ...(more > 0 ? [earlier(more)] : []), ...timed(events, speech)].join('\n');
}

function manyOf(events: readonly RecordEvent[], more: number, speech: Speech): string {
  const head = `${capital(counted(events.length + more))} more within a minute. The page lists them all.`;
  return [head, ...timed(events, speech)].join('\n');
}

function timed(events: readonly RecordEvent[], speech: Speech): string[] {
  return events.flatMap((event) =>
    isNotice(event) ? [`${clockText(event.atMs, speech)} ${eventSentence(event, speech)}`] : [],
  );
}

function earlier(more: number): string {
  return `${capital(counted(more))} before these, in the record.`;
}

function counted(count: number): string {
  return count === 1 ? 'one notice' : `${count} notices`;
}

function cut(text: string): string {
  const plain = text.replaceAll('\u00a0', ' ');
  return plain.length <= subjectMax ? plain : `${plain.slice(0, subjectMax - 1).trimEnd()}…`;
}
