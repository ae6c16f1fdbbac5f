import { useRef, useState } from 'preact/hooks';
import type { Word } from '../../../shared/contract/word.ts';
import { newWordId, sayWord } from '../feed/ask.ts';

type Spoken = { state: 'resting' | 'saying' | 'said' } | { state: 'failed'; why: string };

/**
 * A button that says a word to the house. Until the house has it, every press repeats the same word under
 * the same id, so a second tap of a wet knuckle does nothing.
 */
export function WordButton({
  first = false,
  onSaid,
  text,
  word,
}: {
  /** True for the one button of the page that is filled. */
  first?: boolean;
  onSaid?: () => void;
  text: string;
  word: () => Word;
}) {
  const [spoken, setSpoken] = useState<Spoken>({ state: 'resting' });
  const pending = useRef<{ id: string; word: Word } | null>(null);
  async function press() {
    pending.current ??= { id: newWordId(), word: word() };
    setSpoken({ state: 'saying' });
    const said = await sayWord(pending.current.id, pending.current.word);
    setSpoken(said.ok ? { state: 'said' } : { state: 'failed', why: said.why });
    if (said.ok) {
      pending.current = null;
      onSaid?.();
    }
  }
  return (
    <>
      <button
        type="button"
        class={first ? 'first' : 'plain'}
        disabled={spoken.state === 'saying'}
        onClick={() => void press()}
      >
        {text}
      </button>
      <span class="spoken" role="status">
        {spoken.state === 'said' && 'Noted.'}
        {spoken.state === 'failed' && `Not taken: ${spoken.why} Press again.`}
      </span>
    </>
  );
}
