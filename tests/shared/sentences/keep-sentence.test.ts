import { describe, expect, it } from 'vitest';
import { keepCause } from '../../../shared/contract/keep.ts';
import { type KeepView, keepState } from '../../../shared/contract/keep-view.ts';
import { keepSentence, noteName } from '../../../shared/sentences/keep-words.ts';
import { plainText } from '../../../shared/sentences/speech.ts';
import { larderKeeps } from '../../browser/fixture-larder.ts';
import { morningMs } from '../../browser/fixture-morning.ts';

const speech = {
  language: 'en',
  units: 'F',
  zone: 'America/Denver',
  names: { 'larder-water': 'the larder fridge' },
} as const;

function viewOf(which: Parameters<typeof larderKeeps>[0], change: Partial<KeepView> = {}): KeepView {
  const [view] = larderKeeps(which);
  if (view === undefined) throw new Error(`the larder must have a keep while ${which}`);
  return { ...view, ...change };
}

function said(view: KeepView) {
  const { handWanted, or, say, word } = keepSentence(view, speech, morningMs);
  const plain = (text: string) => text.replaceAll('\u00a0', ' ');
  return { word, say: plain(plainText(say)), or: plain(plainText(or)), handWanted };
}

describe('the sentence of a keep', () => {
  it('wants no hand while it keeps, and says what went on', () => {
    expect(said(viewOf('night-cut'))).toEqual({
      word: 'Keeping',
      say: 'No hand wanted.',
      or: 'The power was off 2:10 to 3:25; the milk stayed under 40 °F.',
      handWanted: false,
    });
    const calm = said(viewOf('night-cut', { notes: [] }));
    expect(calm.or).toMatch(/^The milk is near 3\d\.\d °F, 3\d\.\d °F at the most\.$/);
  });

  it('says what to do in one breath, then why and by when', () => {
    expect(said(viewOf('stopped'))).toEqual({
      word: 'Leaving',
      say: 'Look at the larder fridge,',
      or: expect.stringMatching(/^it has not cooled since 6:24; the milk passes 40 °F near 7:\d\d\.$/),
      handWanted: true,
    });
    expect(said(viewOf('stopped', { cause: 'door-ajar' }))).toMatchObject({
      say: 'Shut the door of the larder fridge,',
      or: expect.stringMatching(/^or the milk passes 40 °F near 7:\d\d\.$/),
    });
    expect(said(viewOf('stopped', { cause: 'power-off' }))).toMatchObject({
      say: 'Keep the larder fridge shut,',
      or: expect.stringMatching(/^the power is off since 6:24; the milk passes 40 °F near 7:\d\d\.$/),
    });
    expect(said(viewOf('stopped', { cause: 'warming', forecast: null })).or).toBe(
      'it is getting warmer; the milk is close to 40 °F.',
    );
    expect(said(viewOf('too-cold'))).toMatchObject({
      say: 'Set the larder fridge warmer,',
      or: expect.stringMatching(/^or the milk passes 31\.0 °F near /),
    });
  });

  it('says since when the milk has been out, and what that means for it', () => {
    const view = viewOf('long-stopped');
    expect(said(view)).toMatchObject({
      word: 'Left',
      or: expect.stringMatching(/^it has not cooled since 4:04; the milk is over 40 °F since \d:\d\d\.$/),
    });
    expect(keepSentence(view, speech, morningMs).notes).toEqual([
      'Use what stands in it sooner, never later, than its age rule says.',
      'Follow local rules; when in doubt, don’t drink it raw.',
    ]);
  });

  it('sets slanted only the time that has not come', () => {
    const { or, say } = keepSentence(viewOf('stopped'), speech, morningMs);
    const slanted = [...say, ...or].filter(({ forecast }) => forecast).map(({ text }) => text);
    expect(slanted).toEqual([expect.stringMatching(/^7:\d\d$/)]);
  });

  it('is short, without a hole, and claims nothing, whatever the state and the cause', () => {
    const claims = /\b(safe|safely|safety|pasteuri[sz]ed|sterile|legal|certified|good until|still good)\b/i;
    for (const state of keepState.options) {
      for (const cause of keepCause.options) {
        for (const which of ['night-cut', 'stopped', 'too-cold'] as const) {
          const { or, say } = said(viewOf(which, { state, cause }));
          expect([say, say.length <= 44]).toEqual([say, true]);
          expect([or, or.length <= 80]).toEqual([or, true]);
          expect(`${say} ${or}`).not.toMatch(/undefined|null|NaN|\[object|Invalid/);
          expect(`${say} ${or}`).not.toMatch(claims);
        }
      }
    }
    expect(keepCause.options.map(noteName).every((name) => /^\p{Lu}/u.test(name))).toBe(true);
  });
});
