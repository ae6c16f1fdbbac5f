import type { WatchSentence } from '../../../shared/sentences/watch-sentence.ts';
import { Sentence } from '../words/phrases.tsx';
import { Fitted } from './fitted.tsx';
import { Mark, type MarkName } from './marks.tsx';

/** A state and its sentence: on a plate where a hand is wanted, bare on the paper where not. */
export function Statement({
  mark,
  plateFree = true,
  sentence,
}: {
  mark: MarkName;
  /** False where the page already has its one plate. */
  plateFree?: boolean;
  sentence: WatchSentence;
}) {
  return (
    <div class={sentence.handWanted && plateFree ? 'statement plate' : 'statement bare'}>
      <div class="state" aria-live="polite">
        <Mark name={mark} />
        <span>{sentence.word}</span>
      </div>
      <Fitted name="say">
        <Sentence phrases={sentence.say} />
      </Fitted>
      {sentence.or.length > 0 && (
        <Fitted name="or">
          <Sentence phrases={sentence.or} />
        </Fitted>
      )}
    </div>
  );
}
