/** A line on the terminal that tells how far a long command is. */

export type Progress = {
  /** Shows a text in place of the last one, a few times a second at most. */
  show(text: () => string): void;
  /** Takes the line away. */
  clear(): void;
};

/** So long a text stands at least. */
const standMs = 200;

/** Opens the line on the error stream; where that is no terminal, nothing is shown. */
export function openProgress(stream: NodeJS.WriteStream = process.stderr): Progress {
  let shownMs = Number.NEGATIVE_INFINITY;
  let width = 0;
  const write = (text: string) => {
    stream.write(`\r${text.padEnd(width)}`);
    width = text.length;
  };
  return {
    show: (text) => {
      const nowMs = performance.now();
      if (!stream.isTTY || nowMs - shownMs < standMs) return;
      shownMs = nowMs;
      write(text());
    },
    clear: () => {
      if (width > 0) write('');
      if (width > 0) stream.write('\r');
      width = 0;
    },
  };
}

/** `12,345 of 31,536,000 readings (0 %)`; without the whole where it is not known. */
export function partText(done: number, whole: number | null, what: string): string {
  const count = done.toLocaleString('en-US');
  if (whole === null || whole <= 0) return `${count} ${what}`;
  const share = Math.min(100, Math.floor((done / whole) * 100));
  return `${count} of ${whole.toLocaleString('en-US')} ${what} (${share} %)`;
}
