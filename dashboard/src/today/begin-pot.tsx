import { useState } from 'preact/hooks';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { WordButton } from '../sheet/word-button.tsx';
import { heatWord, offeredHeats } from '../words/heat-text.ts';

/** Where this page keeps the last heats that were asked here. */
const lastKey = 'springhouse-heats';
const lastMax = 3;

/** Begins a heat, and the hold after it: the last ones again, the usual ones, or one that is typed. */
export function BeginPot({ onSaid, probe, speech }: { onSaid: () => void; probe: string; speech: Speech }) {
  const [typed, setTyped] = useState('');
  const { units } = speech;
  const word = heatWord(typed, { probe, units });
  const said = (text: string) => () => {
    keepLast(text);
    onSaid();
  };
  return (
    <fieldset class="choices">
      <legend>Heat it to</legend>
      {offeredHeats(lastHeats(), units).map((text) => {
        const offered = heatWord(text, { probe, units });
        return (
          offered !== null && (
            <WordButton key={text} text={shownText(text)} word={() => offered} onSaid={said(text)} />
          )
        );
      })}
      <label class="typed">
        or type it{' '}
        <input
          type="text"
          value={typed}
          placeholder={units === 'F' ? '185 F, then 15 min' : '85 C, then 15 min'}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      {word !== null && (
        <WordButton text={`Begin: ${shownText(typed)}`} word={() => word} onSaid={said(typed)} />
      )}
    </fieldset>
  );
}

function shownText(text: string): string {
  return text
    .trim()
    .replace(/(\d)\s*([FC])\b/gi, (_, digit: string, unit: string) => `${digit} °${unit.toUpperCase()}`);
}

function lastHeats(): string[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(lastKey) ?? '[]');
    return Array.isArray(kept) ? kept.filter((one) => typeof one === 'string').slice(0, lastMax) : [];
  } catch {
    // A page that may keep nothing offers the usual ones.
    return [];
  }
}

function keepLast(text: string): void {
  try {
    const kept = [text.trim(), ...lastHeats().filter((one) => one !== text.trim())].slice(0, lastMax);
    localStorage.setItem(lastKey, JSON.stringify(kept));
  } catch {
    // Nothing is lost but the offer.
  }
}
