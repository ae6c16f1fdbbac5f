/** What a house has learned, read from its record. Wiring. */
import { type HousePrior, housePrior } from '../shared/contract/prior.ts';
import type { Reader } from './reader.ts';

/** Events read at a time. */
const pageMax = 1_000;

/** Returns the newest prior of a record; null where nothing was learned, or where it was forgotten since. */
export async function keptPrior(reader: Pick<Reader, 'eventsAfter'>): Promise<HousePrior | null> {
  let prior: HousePrior | null = null;
  for (let afterSeq = 0; ; ) {
    const events = await reader.eventsAfter(afterSeq, pageMax);
    for (const event of events) {
      if (event.kind === 'prior-learned') prior = event.body.prior;
      if (event.kind === 'prior-forgotten') prior = null;
    }
    const last = events.at(-1);
    if (last === undefined || events.length < pageMax) return prior;
    afterSeq = last.recordSeq;
  }
}

/** Reads the text of an exported prior; null where it is none. */
export function parsePrior(text: string): HousePrior | null {
  try {
    const parsed = housePrior.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
