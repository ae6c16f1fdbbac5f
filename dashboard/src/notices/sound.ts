/** The page's voice. A browser lets no page sound before somebody has touched it. */

import type { Weight } from '../../../shared/contract/event.ts';

/** Tones of a signal, Hz, each for a fifth of a second: a tell is one, a warning two, an alarm three, twice. */
const tonesHz: Readonly<Record<Weight, readonly number[]>> = {
  tell: [660],
  warn: [660, 880],
  alarm: [660, 880, 1_100, 660, 880, 1_100],
};
const toneS = 0.2;
const loudness = 0.5;

let context: AudioContext | null = null;

/** Whether the page may sound now. */
export function soundIsOn(): boolean {
  return context?.state === 'running';
}

/** Must be called from a tap; resolves true where the page may sound from now on. */
export async function letSound(): Promise<boolean> {
  context ??= new AudioContext();
  await context.resume().catch(() => {});
  if (soundIsOn()) await play('tell');
  return soundIsOn();
}

/** Sounds once; resolves true when it has surely sounded to its end, false where the page may not. */
export async function play(weight: Weight): Promise<boolean> {
  const playing = context;
  if (playing === null || playing.state !== 'running') return false;
  const fromS = playing.currentTime + 0.02;
  const tones = tonesHz[weight];
  const gain = playing.createGain();
  gain.gain.value = loudness;
  gain.connect(playing.destination);
  const last = tones.map((hz, index) => {
    const tone = playing.createOscillator();
    tone.frequency.value = hz;
    tone.connect(gain);
    tone.start(fromS + index * toneS);
    tone.stop(fromS + (index + 0.9) * toneS);
    return tone;
  });
  await new Promise((resolve) => last.at(-1)?.addEventListener('ended', resolve));
  return playing.state === 'running';
}
