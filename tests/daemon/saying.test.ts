import { describe, expect, it } from 'vitest';
import { openSaying } from '../../daemon/saying.ts';
import { DiskFault } from '../../daemon/sqlite/disk-fault.ts';
import type { PostedWord } from '../../shared/contract/word.ts';

const end: PostedWord = { v: 1, id: 'word-0001', word: { kind: 'watch-end', watch: 'chill-jar-1' } };
const notOpen = { reason: 'unknown', code: 'WORD_WATCH', message: 'WORD_WATCH: …' } as const;

/** A house in which one watch is open until a word ends it. */
function rig() {
  const house = { isOpen: true, said: [] as string[], refuses: null as Error | null };
  const say = openSaying(
    {
      say: async ({ wordId }) => {
        if (house.refuses !== null) throw house.refuses;
        house.said.push(wordId);
        house.isOpen = false;
        return { inputSeq: house.said.length, already: false };
      },
    },
    () => (house.isOpen ? null : notOpen),
  );
  return { house, say };
}

describe('a word', () => {
  it('that is tapped again after it had its effect is answered as before and does nothing', async () => {
    const { house, say } = rig();
    expect(await say(end, 'house')).toEqual({ v: 1, inputSeq: 1, already: false });
    expect(await say(end, 'house')).toEqual({ v: 1, inputSeq: 1, already: true });
    expect(await say({ ...end, id: 'word-0002' }, 'house')).toEqual(notOpen);
    expect(house.said).toEqual(['word-0001']);
  });

  it('that the disk refuses may be said again a little later', async () => {
    const { house, say } = rig();
    house.refuses = new DiskFault('DISK_FULL', 'house.db must have room, got none. Free some.');
    expect(await say(end, 'house')).toEqual({
      reason: 'unavailable',
      code: 'DISK_FULL',
      message: 'DISK_FULL: house.db must have room, got none. Free some.',
    });
    house.refuses = null;
    expect(await say(end, 'house')).toMatchObject({ already: false });
  });

  it('that meets a bug is not answered as if the disk had refused', async () => {
    const { house, say } = rig();
    house.refuses = new Error('a bug');
    await expect(say(end, 'house')).rejects.toThrow('a bug');
  });
});
