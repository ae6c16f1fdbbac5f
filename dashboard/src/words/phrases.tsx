import type { Phrase } from '../../../shared/sentences/speech.ts';

/** Sets text with its degree signs drawn close to the letter: `40 °F` and `59°`; no figure is broken from its unit. */
export function Lettered({ text }: { text: string }) {
  const kept = text
    .replace(/ °/g, '\u00a0°')
    .replace(/(\d) (?=(?:minute|hour|kg|L)\b|minutes|hours)/g, '$1\u00a0');
  const parts = kept.split(/(°(?=[FC]))/);
  return (
    <>
      {parts.map((part, index) =>
        part === '°' ? (
          <span class="degree" key={index}>
            °
          </span>
        ) : (
          part
        ),
      )}
    </>
  );
}

/** Sets a run of words; a forecast stands slanted. */
export function Said({ forecast = false, text }: { forecast?: boolean; text: string }) {
  return forecast ? (
    <i class="figures">
      <Lettered text={text} />
    </i>
  ) : (
    <Lettered text={text} />
  );
}

/** Sets a sentence phrase by phrase. */
export function Sentence({ phrases }: { phrases: readonly Phrase[] }) {
  return (
    <>
      {phrases.map((phrase, index) => (
        <Said key={index} {...phrase} />
      ))}
    </>
  );
}
