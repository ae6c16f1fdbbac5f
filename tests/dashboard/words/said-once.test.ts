import { describe, expect, it } from 'vitest';
import { saidOnce } from '../../../dashboard/src/words/said-once.ts';

describe('notices in a list', () => {
  it('say a caution once, with the newest, and each its own matter', () => {
    expect(
      saidOnce([
        'Jar 2: it was 44 °F when its hour was up. Follow local rules; when in doubt, don’t drink it raw.',
        'Jar 1: it was 41.4 °F when its hour was up. That is your house rule. Follow local rules; when in doubt, don’t drink it raw.',
        'Jar 1: under 40 °F at 7:23, 4 minutes late. Cold slows germs, it does not remove them.',
      ]),
    ).toEqual([
      'Jar 2: it was 44 °F when its hour was up. Follow local rules; when in doubt, don’t drink it raw.',
      'Jar 1: it was 41.4 °F when its hour was up. That is your house rule.',
      'Jar 1: under 40 °F at 7:23, 4 minutes late. Cold slows germs, it does not remove them.',
    ]);
  });

  it('leave out what the page says beside them', () => {
    const text = 'Jar: into stirred ice by 7:35, or it comes late. Stir with clean tools. Look at 9:00.';
    expect(saidOnce([text], ['Keep the water below the lid.', 'Stir with clean tools.'])).toEqual([
      'Jar: into stirred ice by 7:35, or it comes late. Look at 9:00.',
    ]);
  });

  it('keep the first sentence of each though it is the same', () => {
    expect(saidOnce(['Jar: made it. Good.', 'Jar: made it. Good.'])).toEqual([
      'Jar: made it. Good.',
      'Jar: made it.',
    ]);
  });
});
