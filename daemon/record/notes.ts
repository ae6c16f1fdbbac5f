/** The house's own notes: its id and the like, a text under a key. */
import type { Database } from '../sqlite/database.ts';

export type Notes = {
  meta(): Record<string, string>;
  /** Keeps one note in place of what was under its key. */
  setMeta(key: string, value: string): void;
};

/** Opens the notes on the write connection of a house file. */
export function openNotes(database: Database): Notes {
  const all = database.prepare<{ key: string; value: string }>('SELECT key, value FROM meta ORDER BY key');
  const upsert = database.prepare(
    'INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value',
  );
  return {
    meta: () => Object.fromEntries(all.all().map(({ key, value }) => [key, value])),
    setMeta: (key, value) => {
      database.transaction(() => upsert.run(key, value));
    },
  };
}
