/** Letters past the outbox, while the disk refuses to keep any: manners in memory, each letter tried at once. */
import type { Happening, RecordEvent } from '../../shared/contract/event.ts';
import type { MannersRules } from './manners/rules.ts';
import { type Draft, openManners } from './manners/state.ts';
import { stepManners } from './manners/step.ts';
import type { OutboxLetter } from './outbox-letters.ts';
import type { Sent } from './way.ts';

export type EmergencyOptions = {
  rules: MannersRules;
  nowMs: () => number;
  /** Sends a letter by its way, marked as not recorded. */
  send: (letter: Omit<OutboxLetter, 'letterSeq'>) => Promise<Sent>;
};

export type Emergency = {
  /** Tells people of notices; resolves when each letter has been tried by as many ways as it needed. */
  tell(notices: readonly Happening[]): Promise<void>;
  /** Whether this very letter went out already; the outbox need not send it again. */
  wasSent(letter: Pick<Draft, 'id' | 'receiver' | 'way'>): boolean;
};

/** Letters remembered as sent; the oldest go first, and then one may come twice. */
const sentMax = 10_000;

/** Opens with manners that have heard of nothing; quiet hours and the bound on letters hold here, too. */
export function openEmergency({ rules, nowMs, send }: EmergencyOptions): Emergency {
  let state = openManners();
  let seq = 0;
  const sent = new Set<string>();

  async function bring(
    draft: Draft,
    events: readonly RecordEvent[],
    onWays: readonly string[],
  ): Promise<void> {
    const came = await send({
      ...draft,
      events: events.filter(({ recordSeq }) => draft.seqs.includes(recordSeq)),
    });
    if (came.is === 'sent') {
      sent.add(keyOf(draft));
      if (sent.size > sentMax) sent.delete(sent.values().next().value as string);
      return;
    }
    const undelivered = { letter: draft, onWays };
    const turn = stepManners(state, { kind: 'undelivered', undelivered, nowMs: nowMs() }, rules);
    state = turn.state;
    for (const next of turn.letters) {
      if (next.id === draft.id) await bring(next, events, [...onWays, next.way]);
    }
  }

  return {
    tell: async (notices) => {
      const events = notices.map(
        (event) => ({ ...event, v: 1, recordSeq: ++seq, prev: '', hash: '' }) as RecordEvent,
      );
      const turn = stepManners(state, { kind: 'events', events, nowMs: nowMs() }, rules);
      state = turn.state;
      const ways = (draft: Draft) =>
        turn.letters
          .filter(({ id, receiver }) => id === draft.id && receiver === draft.receiver)
          .map(({ way }) => way);
      await Promise.all(turn.letters.map((draft) => bring(draft, events, ways(draft))));
    },
    wasSent: (letter) => sent.has(keyOf(letter)),
  };
}

function keyOf({ id, receiver, way }: Pick<Draft, 'id' | 'receiver' | 'way'>): string {
  return JSON.stringify([id, receiver, way]);
}
