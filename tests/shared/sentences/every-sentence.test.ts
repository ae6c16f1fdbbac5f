import { describe, expect, it } from 'vitest';
import { allSentences, textsOf } from '../../../deploy/docs/sentences-page.ts';

/** What no sentence says of a result: the house advises, it never certifies. */
const forbidden =
  /\b(safe|safely|safety|pasteuri[sz]ed|sterile|legal|certified|compliant|good until|still good)\b/i;

/** Words that deny what they name. */
const denials = [/not a safety limit/gi, /not a legal record/gi, /no safety limit/gi];

function claimsIn(text: string): string | null {
  const rest = denials.reduce((left, denial) => left.replace(denial, ''), text);
  return forbidden.test(rest) ? text : null;
}

describe('every sentence', () => {
  const texts = allSentences().flatMap((file) => file.texts);

  it('is listed from the source: no file is passed over', () => {
    expect(allSentences().length).toBeGreaterThan(7);
    expect(texts.length).toBeGreaterThan(120);
    expect(texts.some((text) => text.includes('Look at the probe.'))).toBe(true);
  });

  it('claims nothing that the house cannot know', () => {
    expect(texts.filter((text) => claimsIn(text) !== null)).toEqual([]);
  });

  it('would be found out where it did', () => {
    const planted = [
      `const a = 'The milk is safe now.';`,
      `const b = \`Pasteurised at \${1} °C.\`;`,
      `const c = 'That is your house rule, not a safety limit.';`,
    ].join('\n');
    const found = textsOf('planted.ts', planted);
    expect(found.filter((text) => claimsIn(text) !== null)).toEqual([
      'The milk is safe now.',
      'Pasteurised at … °C.',
    ]);
  });

  it('speaks plainly: no exclamation, no capitals that shout', () => {
    expect(texts.filter((text) => /!|\b[A-Z]{4,}\b/.test(text.replace(/\bMQTT\b/g, '')))).toEqual([]);
  });
});
