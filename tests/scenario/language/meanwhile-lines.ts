/** The lines under "meanwhile:": what people said, and what befell the house. */
import type { RescueKind } from '../../../shared/contract/forecast.ts';
import type { Material } from '../../../shared/contract/ids.ts';
import type { Word } from '../../../shared/contract/word.ts';
import type { Form, Found, LineFault } from './form.ts';
import type { Meanwhile } from './scenario.ts';

/** What a line of this section is added to; `onlyProbe` is what a word is about that names none. */
export type MeanwhileDraft = { meanwhile: Meanwhile[]; line: number; onlyProbe: string | null };

type Said = Exclude<Word, { kind: 'watch-end' }>;

/** The forms of what happened meanwhile. */
export const meanwhileForms: readonly Form<MeanwhileDraft>[] = [
  {
    form: 'at TIME said [of PROBE]: milking ended TIME',
    take: (found, to) =>
      say(found, to, (probe) => ({ kind: 'milking-ended', probe, atMs: found.number('TIME', 1) })),
  },
  {
    form: 'at TIME said [of PROBE]: moved to PLACE',
    take: (found, to) => say(found, to, (probe) => ({ kind: 'moved', probe, place: found.text('PLACE') })),
  },
  {
    form: 'at TIME said [of PROBE]: took RESCUE',
    take: (found, to) =>
      say(found, to, (probe) => ({
        kind: 'rescue-done',
        probe,
        rescue: found.text('RESCUE') as RescueKind,
      })),
  },
  {
    form: 'at TIME said [of PROBE]: holds VOLUME [of MATERIAL]',
    take: (found, to) =>
      say(found, to, (probe) => ({
        kind: 'vessel-told',
        probe,
        volumeL: found.number('VOLUME'),
        ...(found.has('MATERIAL') ? { material: found.text('MATERIAL') as Material } : {}),
      })),
  },
  {
    form: 'at TIME said [of PROBE]: milk went in TIME',
    take: (found, to) =>
      say(found, to, (probe) => ({ kind: 'chill-begin', probe, sinceMs: found.number('TIME', 1) })),
  },
  {
    form: 'at TIME said [of PROBE]: keep it',
    take: (found, to) => say(found, to, (probe) => ({ kind: 'keep-begin', probe })),
  },
  {
    form: 'at TIME said [of PROBE]: stop watching',
    take: (found, to) =>
      about(found, to, (probe) => ({
        kind: 'stop-watching',
        atMs: found.number('TIME'),
        line: to.line,
        probe,
      })),
  },
  {
    form: 'at TIME the clock of the house goes forward/back SPAN',
    take: (found, to) => {
      const deltaMs = found.number('SPAN') * (found.says('back') ? -1 : 1);
      to.meanwhile.push({ kind: 'clock', atMs: found.number('TIME'), line: to.line, deltaMs });
      return null;
    },
  },
  {
    form: 'at TIME the house is stopped for SPAN',
    take: (found, to) => leave(found, to, true),
  },
  {
    form: 'at TIME the power fails for SPAN',
    take: (found, to) => leave(found, to, false),
  },
];

function leave(found: Found, to: MeanwhileDraft, clean: boolean): null {
  const [atMs, spanMs] = [found.number('TIME'), found.number('SPAN')];
  to.meanwhile.push({ kind: 'away', atMs, line: to.line, spanMs, clean });
  return null;
}

function say(found: Found, to: MeanwhileDraft, word: (probe: string) => Said): LineFault | null {
  return about(found, to, (probe) => ({
    kind: 'word',
    atMs: found.number('TIME'),
    line: to.line,
    word: word(probe),
  }));
}

function about(found: Found, to: MeanwhileDraft, happened: (probe: string) => Meanwhile): LineFault | null {
  const probe = found.has('PROBE') ? found.text('PROBE') : to.onlyProbe;
  if (probe !== null) {
    to.meanwhile.push(happened(probe));
    return null;
  }
  return {
    what: 'the word',
    must: 'about one probe',
    got: 'none, and there is more than one',
    doThis: 'Write "said of jar: …".',
  };
}
