import type { Phrase } from '../../../shared/sentences/speech.ts';

/** Sets text with its degree signs drawn close to the letter: `40 °F` and `59°`, never broken before them. */
export function Lettered({ text }: { text: string }) {
  const parts = text.replace(/ °/g, '\u00a0°').split(/(°(?=[FC]))/);
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
