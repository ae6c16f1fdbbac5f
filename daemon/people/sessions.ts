/** Sessions in memory: who a token is, when it is renewed, and when a renewed one comes back stolen. */
import type { KeepPeople, KeptSession, PeopleChange } from './kept.ts';
import { hashOf, newToken } from './secret-text.ts';

/** A session unused for so long ends, and one so old ends however much it is used. */
export const idleMsMax = 30 * 86_400_000;
export const ageMsMax = 180 * 86_400_000;

/** A token is renewed when it is this old. */
export const rotateAfterMs = 86_400_000;

/** How long a renewed token goes on after its successor was used: for requests that were under way. */
export const graceMs = 60_000;

/** How exactly it is kept when a session was last used; finer would write to the card at each request. */
const usedStepMs = 3_600_000;

/** Sessions of one person; with one more the one unused for longest ends. */
export const sessionsPerPersonMax = 12;

/** Signs kept of what a browser calls itself. */
const whereCharsMax = 120;

/** Who asks, and the token to send back where it was renewed. */
export type Admitted = { session: string; person: string; renewed: string | null };

export type Sessions = {
  /** Begins a session and returns its token; rejects where it cannot be kept. */
  begin(person: string, where: string): Promise<{ session: string; token: string }>;
  /** Returns who a token is; null where it is nobody's any more. */
  admit(token: string): Promise<Admitted | null>;
  of(person: string): KeptSession[];
  /** Ends sessions at once, and for good once this resolves. Rejects where that cannot be kept. */
  end(which: (session: KeptSession) => boolean): Promise<void>;
  /** Hears of each session that ended. */
  onEnded(listener: (session: string) => void): void;
};

export type SessionsOptions = {
  kept: readonly KeptSession[];
  keep: KeepPeople;
  /** Epoch ms. */
  nowMs: () => number;
};

/** Opens the sessions that were kept. */
export function openSessions({ kept, keep, nowMs }: SessionsOptions): Sessions {
  const byId = new Map(kept.map((session) => [session.id, { ...session }]));
  const byToken = new Map<string, string>();
  const listeners: ((session: string) => void)[] = [];
  const index = ({ id, token, before }: KeptSession) => {
    byToken.set(token, id);
    if (before !== null) byToken.set(before, id);
  };
  for (const session of byId.values()) index(session);

  const forget = (session: KeptSession) => {
    byId.delete(session.id);
    for (const token of [session.token, session.before]) if (token !== null) byToken.delete(token);
    for (const listener of listeners) listener(session.id);
  };
  const end: Sessions['end'] = async (which) => {
    const ended = [...byId.values()].filter(which);
    for (const session of ended) forget(session);
    if (ended.length > 0) await keep(ended.map(({ id }): PeopleChange => ({ drop: 'session', id })));
  };
  const renew = async (session: KeptSession): Promise<string | null> => {
    const token = newToken();
    const renewed = {
      ...session,
      token: hashOf(token),
      before: session.token,
      turnedAtMs: null,
      rotatedAtMs: nowMs(),
    };
    if (session.before !== null) byToken.delete(session.before);
    // Marked at once, so that of requests that come together only one renews.
    Object.assign(session, renewed);
    index(session);
    try {
      await keep([{ put: 'session', row: renewed }]);
      return token;
    } catch {
      // Nobody has the new token: the old one goes on, and is renewed some other time.
      return null;
    }
  };
  return {
    begin: async (person, where) => {
      const token = newToken();
      const atMs = nowMs();
      const row: KeptSession = {
        id: newToken().slice(0, 16),
        person,
        token: hashOf(token),
        before: null,
        turnedAtMs: null,
        madeAtMs: atMs,
        rotatedAtMs: atMs,
        usedAtMs: atMs,
        where: where.replace(/[^\x20-\x7e]/g, '').slice(0, whereCharsMax),
      };
      const own = [...byId.values()].filter((each) => each.person === person);
      const surplus = own.sort((a, b) => b.usedAtMs - a.usedAtMs).slice(sessionsPerPersonMax - 1);
      await keep([
        ...surplus.map(({ id }): PeopleChange => ({ drop: 'session', id })),
        { put: 'session', row },
      ]);
      surplus.forEach(forget);
      byId.set(row.id, row);
      index(row);
      return { session: row.id, token };
    },
    admit: async (token) => {
      const hash = hashOf(token);
      const session = byId.get(byToken.get(hash) ?? '');
      if (session === undefined) return null;
      const atMs = nowMs();
      const admitted = { session: session.id, person: session.person };
      if (isOver(session, atMs) || isStolen(session, hash, atMs)) {
        await end(({ id }) => id === session.id).catch(() => {});
        return null;
      }
      note(session, { hash, atMs, keep });
      const isDue =
        session.token === hash
          ? atMs - session.rotatedAtMs >= rotateAfterMs
          : // The answer that carried the new token was lost.
            session.turnedAtMs === null && atMs - session.rotatedAtMs >= graceMs;
      return { ...admitted, renewed: isDue ? await renewFrom(session, hash) : null };
    },
    of: (person) => [...byId.values()].filter((session) => session.person === person),
    end,
    onEnded: (listener) => {
      listeners.push(listener);
    },
  };

  function renewFrom(session: KeptSession, hash: string): Promise<string | null> {
    // The client has only the token it came with: that one must go on until the new one is used.
    if (session.token !== hash) {
      byToken.delete(session.token);
      session.token = hash;
      session.before = null;
    }
    return renew(session);
  }
}

function isOver({ usedAtMs, madeAtMs }: KeptSession, atMs: number): boolean {
  return atMs - usedAtMs > idleMsMax || atMs - madeAtMs > ageMsMax;
}

/** Whether a token comes back that its successor has long replaced: two clients have it, one of them a thief. */
function isStolen({ token, turnedAtMs }: KeptSession, hash: string, atMs: number): boolean {
  return token !== hash && turnedAtMs !== null && atMs - turnedAtMs > graceMs;
}

/** Keeps when a session was used, to the hour, and when its new token was first. */
function note(
  session: KeptSession,
  { hash, atMs, keep }: { hash: string; atMs: number; keep: KeepPeople },
): void {
  const isTurning = session.token === hash && session.before !== null && session.turnedAtMs === null;
  if (isTurning) session.turnedAtMs = atMs;
  const isNews = Math.abs(atMs - session.usedAtMs) >= usedStepMs;
  if (isNews) session.usedAtMs = atMs;
  if (!isTurning && !isNews) return;
  // Lost where the disk refuses: then the session only looks older than it is.
  keep([{ put: 'session', row: { ...session } }]).catch(() => {});
}
