/** What the manners remember from one turn to the next, in `house.db`. */
import type { Database } from '../sqlite/database.ts';
import { type Manners, mannersVersion, openManners } from './manners/state.ts';

/**
 * The manners' memory: one row of JSON, begun anew where it is of another version. What is held here is only
 * as good as the row: where a transaction was undone, the row's number differs and it is read again.
 */
export function openMannersMemory(database: Database) {
  const number = database.prepare<{ turn: number; version: number }>(
    'SELECT turn, version FROM manners WHERE one = 1',
  );
  const body = database.prepare<{ body: string }>('SELECT body FROM manners WHERE one = 1');
  const upsert = database.prepare(
    `INSERT INTO manners (one, version, turn, body) VALUES (1, ?, ?, ?)
     ON CONFLICT (one) DO UPDATE SET version = excluded.version, turn = excluded.turn, body = excluded.body`,
  );
  let held: { turn: number; state: Manners } | null = null;
  return {
    read: (): Manners => {
      const row = number.first();
      const turn = row?.turn ?? 0;
      if (held !== null && held.turn === turn) return held.state;
      const known = row?.version === mannersVersion ? body.first() : undefined;
      held = { turn, state: known === undefined ? openManners() : (JSON.parse(known.body) as Manners) };
      return held.state;
    },
    keep: (state: Manners): void => {
      const turn = (number.first()?.turn ?? 0) + 1;
      upsert.run(mannersVersion, turn, JSON.stringify(state));
      held = { turn, state };
    },
    forget: (): void => {
      held = null;
    },
  };
}
