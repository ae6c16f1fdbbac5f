import { describe, expect, it } from 'vitest';
import type { SaidWord } from '../../../daemon/record/person-input.ts';
import { openTestRecord } from './open-record.ts';

const moved: SaidWord = {
  wordId: 'tap-00000001',
  by: 'house',
  word: { kind: 'moved', probe: 'jar', place: 'fridge' },
  receivedMs: 1000,
};

describe('the inputs that are no readings', () => {
  it('are given back as the watching takes them, in order', () => {
    const { record } = openTestRecord();
    expect(record.last()).toBeNull();
    expect(record.commitWord(moved, 4)).toEqual({ inputSeq: 4, already: false });
    expect(record.commitClock({ deltaMs: -500, known: true, receivedMs: 2000 }, 9)).toEqual({ inputSeq: 9 });
    const began = { release: '0.1.0', known: false, aliveUntilMs: null, clean: true };
    expect(record.commitStart({ ...began, receivedMs: 3000 }, 10)).toEqual({ inputSeq: 10 });
    const word = {
      kind: 'word',
      inputSeq: 4,
      receivedMs: 1000,
      wordId: 'tap-00000001',
      by: 'house',
      word: moved.word,
    };
    const clock = { kind: 'clock', inputSeq: 9, receivedMs: 2000, deltaMs: -500, known: true };
    const start = { kind: 'start', inputSeq: 10, receivedMs: 3000, ...began };
    expect(record.inputsAfter(0, 10)).toEqual([word, clock, start]);
    expect(record.inputsAfter(4, 10)).toEqual([clock, start]);
    expect(record.inputsAfter(0, 1)).toEqual([word]);
    expect(record.last()).toEqual({ inputSeq: 10, receivedMs: 3000 });
  });

  it('hold a word once, however often it is tapped', () => {
    const { record } = openTestRecord();
    record.commitWord(moved, 4);
    expect(record.commitWord({ ...moved, receivedMs: 9000 }, 5)).toEqual({ inputSeq: 4, already: true });
    expect(record.commitWord({ ...moved, wordId: 'tap-00000002' }, 5)).toEqual({
      inputSeq: 5,
      already: false,
    });
    expect(record.inputsAfter(0, 10).map(({ receivedMs }) => receivedMs)).toEqual([1000, 1000]);
  });
});
