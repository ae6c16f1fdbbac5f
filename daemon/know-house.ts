/** The house's id, made on its first day, and what became of its files since it last ran. Wiring. */
import { randomBytes } from 'node:crypto';
import type { Outcome } from './record/outcome.ts';
import type { Troubles } from './troubles.ts';
import type { Writer } from './writer.ts';

/** The id of the house, whether the run before this one was closed in order, and whether there was none. */
export type KnownHouse = { id: string; clean: boolean; isNew: boolean };

/** Reads who this house is, or gives it an id and writes that as the first event of its record. */
export async function knowHouse(writer: Writer, house: { name: string; nowMs: number }): Promise<KnownHouse> {
  const meta = await writer.meta();
  const clean = meta.closedMs !== undefined && meta.closedMs !== '';
  await writer.setMeta('closedMs', '');
  const id = meta.houseId ?? `${readable(house.name)}-${randomBytes(3).toString('hex')}`;
  if (meta.houseId === undefined) await writer.setMeta('houseId', id);
  // The first event carries the id; also where the very first start was cut short before it was written.
  if (writer.opened.recordSeq === 0) await writer.appendOutcome(houseMade(id, house));
  const isNew = meta.houseId === undefined;
  return { id, clean: clean || isNew, isNew };
}

function houseMade(id: string, { name, nowMs }: { name: string; nowMs: number }): Outcome {
  return {
    happenings: [
      {
        kind: 'house-made',
        id: 'house/house-made/1',
        atMs: nowMs,
        by: { kind: 'daemon', id: 'house' },
        about: {},
        because: [],
        body: { house: id, name },
      },
    ],
    snapshots: [],
  };
}

/** Tells which file was gone when the house opened. */
export function tellLosses({ opened }: Pick<Writer, 'opened'>, troubles: Troubles): void {
  if (opened.historyLost) {
    troubles.lost(
      'HISTORY_LOST: history.db must be beside house.db, got none; it is begun anew and the record is whole. Stop the daemon and put a backup in its place, if there is one.',
    );
  }
  if (opened.houseLost) {
    troubles.lost(
      'RECORD_LOST: house.db must be beside history.db, got none; it is begun anew, with a new id of the house. Stop the daemon and put a backup in its place, if there is one.',
    );
  }
}

/** The name's letters and digits, for an id that a person can tell from others. */
function readable(name: string): string {
  const plain = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 24);
  return plain === '' ? 'house' : plain;
}
