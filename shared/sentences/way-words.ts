/** What is said of the ways by which the house speaks. */

import type { HappeningOf } from '../contract/event.ts';
import type { WayKind } from '../contract/notify.ts';
import { capital } from './capital.ts';
import { minutesText } from './speech.ts';

/** What people call a way: "the e-mail (mail)". */
export function wayName({ way, wayKind }: { way: string; wayKind: WayKind }): string {
  return `${kindName(wayKind)} (${way})`;
}

/** Says that a way fails, or works again. */
export function wayText(event: HappeningOf<'way-failed'> | HappeningOf<'way-works'>): string {
  const name = capital(wayName(event.body));
  if (event.kind === 'way-works') {
    return `${name}: letters leave again, after ${minutesText(event.body.failedMs)}.`;
  }
  const { instead, why } = event.body;
  const takesOver =
    instead.length === 0
      ? 'No other way takes over: look at the page.'
      : `${instead.join(' and ')} ${instead.length === 1 ? 'takes' : 'take'} over.`;
  return `${name}: letters do not leave (${why}). ${takesOver}`;
}

/** What a kind of way is called. */
export function kindName(kind: WayKind): string {
  switch (kind) {
    case 'page':
      return 'the page';
    case 'command':
      return 'the command';
    case 'email':
      return 'the e-mail';
    case 'webhook':
      return 'the webhook';
    case 'mqtt':
      return 'the MQTT topic';
    default:
      return kind satisfies never;
  }
}
