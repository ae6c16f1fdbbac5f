import { describe, expect, it } from 'vitest';
import { anyWatchView } from '../../../shared/contract/api.ts';
import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import { heatState, holdState } from '../../../shared/contract/pot-view.ts';
import { heatSentence, holdSentence } from '../../../shared/sentences/pot-sentence.ts';
import { plainText, type Speech } from '../../../shared/sentences/speech.ts';
import { morningMs } from '../../browser/fixture-morning.ts';
import { type PotCase, potWatches } from '../../browser/fixture-pot.ts';

const speech: Speech = { language: 'en', units: 'F', zone: 'America/Denver', names: { pot: 'the pot' } };
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

function sentenceOf(view: HeatView | HoldView) {
  return view.kind === 'heat' ? heatSentence(view, speech, morningMs) : holdSentence(view, speech, morningMs);
}

function viewOf(which: PotCase): HeatView | HoldView {
  const view = potWatches(which)[0];
  if (view?.kind !== 'heat' && view?.kind !== 'hold') throw new Error(`no pot in ${which}`);
  return view;
}

describe('the sentence of a pot', () => {
  it.each([
    ['climbing', 'On course', 'At 190 °F near 7:15, in 11 minutes.', false],
    ['heat-off', 'On course', 'Heat off now, it climbs on to 192 °F by itself.', true],
    ['holding', 'On course', 'Proved at 7:16. 18 minutes proved, 12 minutes to go.', false],
    [
      'begun-again',
      'Begun again',
      'Back to 145 °F, a reading was not surely at 145 °F; the clock begins again there.',
      true,
    ],
  ] as const)('that is %s', (which, word, text, handWanted) => {
    const said = sentenceOf(viewOf(which));
    expect([said.word, plain(`${plainText(said.say)} ${plainText(said.or)}`), said.handWanted]).toEqual([
      word,
      text,
      handWanted,
    ]);
  });

  it('is of views that keep their contract', () => {
    for (const which of ['climbing', 'heat-off', 'short', 'holding', 'begun-again'] as const) {
      for (const view of potWatches(which)) expect(anyWatchView.safeParse(view).success).toBe(true);
    }
  });

  it('claims in no state what a tool like this cannot know', () => {
    const claims = /\b(safe|safely|safety|pasteuri[sz]ed|sterile|legal|certified|compliant|good until)\b/i;
    const heat = viewOf('climbing') as HeatView;
    const hold = viewOf('holding') as HoldView;
    const every = [
      ...heatState.options.map((state) => sentenceOf({ ...heat, state })),
      ...holdState.options.map((state) => sentenceOf({ ...hold, state })),
    ].map(({ or, say, word }) => `${word}. ${plainText(say)} ${plainText(or)}`);
    expect(every).toHaveLength(heatState.options.length + holdState.options.length);
    expect(every.filter((text) => claims.test(text.replace('not a legal record', '')))).toEqual([]);
    expect(every.filter((text) => /undefined|null|NaN/.test(text))).toEqual([]);
  });
});
