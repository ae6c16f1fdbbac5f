/** A stream of bytes becomes lines of text; what is no line is a fault, and the next line is good again. */
import type { RefusalCode } from '../source.ts';

/** The longest line in bytes, line end not counted. A longer one is one fault, and skipped to its end. */
export const lineBytesMax = 16_384;

/** A line of text, or what stood there instead of one. */
export type Line =
  /** `isFirst`: no line end came before it, so where the stream was joined late it may be a line's tail. */
  { text: string; isFirst: boolean } | { code: RefusalCode; message: string };

/** Cuts a stream into lines. It keeps what follows the last line end until the rest of it comes. */
export type LineSplitter = {
  /** Returns the lines that these bytes complete, in order; empty lines and blanks around are dropped. */
  push(bytes: Uint8Array): Line[];
};

const newline = 0x0a;
const utf8 = new TextDecoder('utf-8', { fatal: true });

/** Control bytes have no place in a line, save the tab: they are noise, a wrong rate or a binary protocol. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what it looks for
const control = /[\x00-\x08\x0a-\x1f\x7f]/;

/**
 * Returns a splitter for one stream. `\n` ends a line, a `\r` before it is trimmed. A line that is over
 * `lineBytesMax`, no UTF-8, or holds control bytes is a fault; it never holds more than one line's bytes.
 */
export function createLineSplitter(): LineSplitter {
  const held = new Uint8Array(lineBytesMax);
  let heldBytes = 0;
  let isOverLong = false;
  let isFirst = true;

  /** Keeps a piece of the line under way; returns the fault at the byte that makes it too long. */
  function keep(piece: Uint8Array): Line[] {
    if (isOverLong) return [];
    if (heldBytes + piece.length > lineBytesMax) {
      isOverLong = true;
      return [tooLong];
    }
    held.set(piece, heldBytes);
    heldBytes += piece.length;
    return [];
  }

  function finish(): Line[] {
    const lines = isOverLong ? [] : readLine(held.subarray(0, heldBytes), isFirst);
    heldBytes = 0;
    isOverLong = false;
    isFirst = false;
    return lines;
  }

  return {
    push(bytes) {
      const lines: Line[] = [];
      let from = 0;
      for (let end = bytes.indexOf(newline); end !== -1; end = bytes.indexOf(newline, from)) {
        lines.push(...keep(bytes.subarray(from, end)), ...finish());
        from = end + 1;
      }
      lines.push(...keep(bytes.subarray(from)));
      return lines;
    },
  };
}

const tooLong: Line = {
  code: 'WIRE_LONG',
  message: `line must be ${lineBytesMax} bytes at most, got more. Compare the baud rate with the sensor's.`,
};

function readLine(bytes: Uint8Array, isFirst: boolean): Line[] {
  let text: string;
  try {
    text = utf8.decode(bytes).trim();
  } catch {
    return [garbled('other bytes')];
  }
  if (control.test(text)) return [garbled('control bytes')];
  return text === '' ? [] : [{ text, isFirst }];
}

function garbled(got: string): Line {
  const message = `line must be UTF-8 text, got ${got}. Compare the baud rate with the sensor's, and look at the cable.`;
  return { code: 'WIRE_GARBLED', message };
}
