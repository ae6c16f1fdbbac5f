/** Whether a serial device is still the one that was opened. */
import { type Stats, stat } from 'node:fs';

/** How often it is looked for. */
export const presenceCheckMs = 1000;

/**
 * Calls `onGone` once when the path no longer leads to the device that it led to at the call; returns what
 * ends the watching. The library notices most unplugging by itself, but where a line hangs up before its
 * first read has begun to wait, every read returns at once with nothing, and it reads on for ever.
 */
export function watchPresence(path: string, onGone: () => void): () => void {
  let device: number | null = null;
  let isOver = false;
  const stop = () => {
    isOver = true;
    clearInterval(timer);
  };
  const look = () => {
    stat(path, (fault, found?: Stats) => {
      if (isOver) return;
      device ??= found?.rdev ?? null;
      if (fault === null && found?.rdev === device) return;
      stop();
      onGone();
    });
  };
  const timer = setInterval(look, presenceCheckMs);
  look();
  return stop;
}
