import { describe, expect, it } from 'vitest';
import { openKeeping, type Snapshots } from '../../daemon/keeping.ts';
import type { Happening, RecordEvent } from '../../shared/contract/event.ts';
import { until } from './open-test-house.ts';
import { stepped } from './record/open-record.ts';

type Outcome = { happenings: readonly Happening[]; snapshots: Snapshots };

const snapshot = (lane: string, inputSeq: number) => ({ lane, stateVersion: 1, inputSeq, body: '{}' });

/** A writer in memory that refuses the next `refuse` outcomes. */
function rig(refuse = 0) {
  const written: Outcome[] = [];
  const recorded: string[] = [];
  const troubles: (string | null)[] = [];
  const disk = { refuse, tries: 0 };
  const keeping = openKeeping({
    writer: {
      appendOutcome: async (outcome) => {
        disk.tries += 1;
        if (disk.refuse > 0) {
          disk.refuse -= 1;
          throw new Error('the disk is full');
        }
        written.push(outcome);
        return outcome.happenings.map((event) => ({ ...event }) as RecordEvent);
      },
    },
    onRecorded: (events) => recorded.push(...events.map(({ id }) => id)),
    onTrouble: (error) => troubles.push(error?.message ?? null),
    retryMs: 5,
  });
  return { keeping, written, recorded, troubles, disk };
}

const [first, second, third] = [stepped(1), stepped(2), stepped(3)];

describe('the keeping', () => {
  it('keeps events and the snapshots that go with them in one transaction', async () => {
    const { keeping, written } = rig();
    keeping.add([first]);
    keeping.keep([snapshot('jar', 7)]);
    await keeping.flush();
    expect(written).toEqual([{ happenings: [first], snapshots: [snapshot('jar', 7)] }]);
  });

  it('tries what the disk refused again by itself, in order and with the newest snapshots', async () => {
    const { keeping, written, recorded, troubles, disk } = rig(Number.POSITIVE_INFINITY);
    keeping.add([first]);
    keeping.keep([snapshot('jar', 7), snapshot('can', 7)]);
    await until(
      async () => disk.tries,
      (tries) => tries > 1,
    );
    keeping.add([second]);
    keeping.keep([snapshot('jar', 9)]);
    disk.refuse = 0;
    await until(
      async () => recorded,
      (ids) => ids.length === 2,
    );
    expect(written).toEqual([
      { happenings: [first, second], snapshots: [snapshot('jar', 9), snapshot('can', 7)] },
    ]);
    expect(troubles.filter((trouble) => trouble === null)).toEqual([null]);
  });

  it('goes on trying after a flush that the disk refused', async () => {
    const { keeping, recorded, disk } = rig(Number.POSITIVE_INFINITY);
    keeping.add([first]);
    await keeping.flush();
    expect(recorded).toEqual([]);
    disk.refuse = 0;
    await until(
      async () => recorded,
      (ids) => ids.length === 1,
    );
  });

  it('tries once more when it closes, and then gives up', async () => {
    const { keeping, recorded, disk } = rig(Number.POSITIVE_INFINITY);
    keeping.add([first]);
    await keeping.close();
    const { tries } = disk;
    await new Promise((resolve) => setTimeout(resolve, 30));
    expect([disk.tries, recorded]).toEqual([tries, []]);
  });

  it('keeps before it closes what was added while it wrote', async () => {
    const { keeping, recorded } = rig();
    keeping.add([first]);
    keeping.add([second]);
    const flushed = keeping.flush();
    keeping.add([third]);
    await flushed;
    await keeping.close();
    expect(recorded).toEqual([first.id, second.id, third.id]);
  });
});
