/** Lines of a text that comes in pieces. */
import { rowCharsMax } from './decoder.ts';

/** One line without its end; null where it is longer than `rowCharsMax`. */
export type TextLine = { line: number; text: string | null };

export type TextLines = { push(text: string): TextLine[]; end(): TextLine[] };

/** Opens the reader; empty lines are left out. */
export function openTextLines(): TextLines {
  let held = '';
  let line = 1;
  let isSkipping = false;

  function add(lines: TextLine[], raw: string): void {
    const text = raw.endsWith('\r') ? raw.slice(0, -1) : raw;
    if (isSkipping) isSkipping = false;
    else if (text.length > rowCharsMax) lines.push({ line, text: null });
    else if (text.trim() !== '') lines.push({ line, text });
    line += 1;
  }

  return {
    push: (text) => {
      const pieces = (held + text).split('\n');
      held = pieces.pop() ?? '';
      const lines: TextLine[] = [];
      for (const piece of pieces) add(lines, piece);
      if (held.length > rowCharsMax) {
        if (!isSkipping) lines.push({ line, text: null });
        isSkipping = true;
        held = '';
      }
      return lines;
    },
    end: () => {
      const lines: TextLine[] = [];
      if (held !== '') add(lines, held);
      held = '';
      return lines;
    },
  };
}
