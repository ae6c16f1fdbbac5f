/** What is said of the disk of the house. */
import type { HappeningOf } from '../contract/event.ts';
import { clockText, minutesText, type Speech } from './speech.ts';

/** Says that the disk refuses to write, or takes writes again; a fault's own words stand in brackets. */
export function diskText(
  event: HappeningOf<'disk-refuses'> | HappeningOf<'disk-takes'>,
  speech: Speech,
): string {
  if (event.kind === 'disk-takes') {
    return `The house: its disk takes writes again, after ${minutesText(event.body.refusedMs)}. Probes that can send again now do; what others sent meanwhile is not in the record.`;
  }
  const { why, sinceMs } = event.body;
  return `The house: its disk refuses to write since ${clockText(sinceMs, speech)} (${why}). It watches on and warns, and records nothing. Make room on the disk, or look at the card.`;
}
