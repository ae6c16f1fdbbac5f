import { useEffect, useRef, useState } from 'preact/hooks';
import type { HouseState } from '../feed/house-state.ts';
import { askVoice, sayHeard, type Voice } from './ask-notify.ts';
import { letSound, play, soundIsOn } from './sound.ts';

/** The ways are asked for again this often; matters also at each notice and letter. */
const askAgainMs = 30_000;

/** Letters older than this are not sounded for: the page was asleep, and their matter shows by itself. */
const soundWithinMs = 120_000;

export type Speaking = {
  /** Null until the house has answered. */
  voice: Voice | null;
  sounds: boolean;
  letSound: () => void;
  askAgain: () => void;
};

/** Keeps what the house says by its ways, and sounds for the letters that come to this page. */
export function useVoice(state: HouseState): Speaking {
  const [voice, setVoice] = useState<Voice | null>(null);
  const [sounds, setSounds] = useState(soundIsOn());
  const sounded = useRef(new Set<string>());
  const askAgain = () => {
    void askVoice().then((answer) => {
      if (answer !== null) setVoice(answer);
    });
  };
  useEffect(() => {
    askAgain();
    const timer = setInterval(askAgain, askAgainMs);
    return () => clearInterval(timer);
  }, []);
  const newest = state.notices[0]?.recordSeq ?? 0;
  useEffect(askAgain, [newest, state.letters.length]);
  useEffect(() => {
    for (const letter of state.letters) {
      if (sounded.current.has(letter.id)) continue;
      sounded.current.add(letter.id);
      if (state.heardMs + state.offsetMs - letter.madeAtMs > soundWithinMs) continue;
      void play(letter.weight).then((heard) => {
        setSounds(soundIsOn());
        if (heard) void sayHeard(letter.id);
      });
    }
  }, [state.letters]);
  return { voice, sounds, letSound: () => void letSound().then(setSounds), askAgain };
}
