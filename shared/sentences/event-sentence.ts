import type { HappeningOf, NoticeCode } from '../contract/event.ts';
import { capital } from './capital.ts';
import {
  afterOrigin,
  coldCaution,
  houseRuleOnly,
  missedCaution,
  underLate,
  unsureClock,
  wasWhenUp,
} from './chill-words.ts';
import { diskText } from './disk-words.ts';
import { doubtedText } from './doubt-words.ts';
import { backText, driftsText, leftText, willLeaveText } from './keep-words.ts';
import { outerMadeText, outerMissedText, outerWillMissText } from './outer-words.ts';
import { potNoticeText } from './pot-words.ts';
import { rescueCautions, rescueHope, rescueImperative, rescueWantsSaid } from './rescue-words.ts';
import { clockText, limitText, milkText, minutesText, nameOf, plainText, type Speech } from './speech.ts';
import { wayText } from './way-words.ts';

type Notice = { [K in NoticeCode]: HappeningOf<K> }[NoticeCode];

/** Says a notice in one or two plain sentences. `event.about.probe` names whose milk it is. */
export function eventSentence(event: Notice, speech: Speech): string {
  if (event.kind === 'disk-refuses' || event.kind === 'disk-takes') return diskText(event, speech);
  if (event.kind === 'way-failed' || event.kind === 'way-works') return wayText(event);
  const who = capital(nameOf(speech, event.about.probe?.[0] ?? 'the probe'));
  switch (event.kind) {
    case 'chill-will-miss':
      return `${who}: ${willMiss(event.body, event.atMs, speech)}${unsureClock(event.body.window)}`;
    case 'chill-made':
      return `${who}: ${made(event.body, speech)}${unsureClock(event.body.window)}`;
    case 'chill-missed':
      return `${who}: ${lower(wasWhenUp(event.body.tempC, event.body, speech))} ${houseRuleOnly} ${missedCaution}${unsureClock(event.body.window)}`;
    case 'chill-late':
      return `${who}: ${lower(underLate(event.body.crossedAtMs, event.body.window, speech))} ${coldCaution}${unsureClock(event.body.window)}`;
    case 'outer-will-miss':
      return `${who}: ${outerWillMissText(event.body, event.atMs, speech)}`;
    case 'outer-missed':
      return `${who}: ${lower(outerMissedText(event.body, speech))}`;
    case 'outer-made':
      return `${who}: ${outerMadeText(event.body, speech)}`;
    case 'freeze-near':
      return `${who}: take the glass out by ${clockText(event.body.nearMs, speech)}, before the milk freezes; freezing milk cracks glass.`;
    case 'keep-will-leave':
      return `${who}: ${willLeaveText(event.body, speech)}`;
    case 'keep-left':
      return `${who}: ${leftText(event.body, speech)}`;
    case 'keep-back':
      return `${who}: ${backText(event.body, speech)}`;
    case 'keep-drifts':
      return `${who}: ${driftsText(event.body, speech)}`;
    case 'heat-near':
    case 'heat-off-now':
    case 'heat-will-not-reach':
    case 'heat-reached':
    case 'heat-over':
    case 'heat-missed':
    case 'heat-stir':
    case 'hold-broken':
    case 'hold-will-drift':
    case 'hold-proved':
    case 'hold-cooled':
      return `${who}: ${potNoticeText(event, speech)}`;
    case 'probe-silent':
      return `${who}: no word from the probe since ${clockText(event.body.lastHeardMs, speech)}. It usually speaks every ${usual(event.body.usualMs)}. Look at the probe.`;
    case 'probe-heard':
      return `${who}: the probe is heard again after ${minutesText(event.body.silentMs)}, at ${milkText(event.body.tempC, 4.44, speech)}.`;
    case 'probe-doubted':
      return `${who}: ${doubtedText(event.body, speech)}`;
    case 'probe-trusted':
      return `${who}: the probe is believed again, at ${milkText(event.body.tempC, 4.44, speech)}.`;
    default:
      return event satisfies never;
  }
}

function willMiss(body: HappeningOf<'chill-will-miss'>['body'], atMs: number, speech: Speech): string {
  if (body.rescue === null) return `${asItGoes(body, speech)}.`;
  const { rescue } = body;
  const hope = plainText(rescueHope(rescue, speech));
  const notes = [rescueWantsSaid(rescue), ...rescueCautions(rescue.cautions)].join(' ');
  const then = hope === '' ? `or ${asItGoes(body, speech)}.` : hope;
  return `${lower(rescueImperative(rescue, atMs, speech))} ${then} ${notes}`.trim();
}

function asItGoes(body: HappeningOf<'chill-will-miss'>['body'], speech: Speech): string {
  const limit = limitText(body.window.limitC, speech);
  const near = body.crossing.p50;
  if (near === null) return `it does not get under ${limit} as it is going`;
  const lateMs = near - body.window.deadlineMs;
  if (lateMs >= 60_000) {
    return `it comes under ${limit} near ${clockText(near, speech)}, ${minutesText(lateMs)} late`;
  }
  return `it comes under ${limit} near ${clockText(near, speech)}, too close to ${clockText(body.window.deadlineMs, speech)} to count on`;
}

function made(body: HappeningOf<'chill-made'>['body'], speech: Speech): string {
  const { window, crossedAtMs } = body;
  return `under ${limitText(window.limitC, speech)} at ${clockText(crossedAtMs, speech)}, ${afterOrigin(window, crossedAtMs)}.`;
}

function usual(usualMs: number): string {
  const seconds = Math.max(1, Math.round(usualMs / 1000));
  return seconds < 90 ? `${seconds} s` : minutesText(usualMs);
}

function lower(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
