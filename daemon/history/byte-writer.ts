/** Bytes that grow as they are written. */
export type ByteWriter = {
  byte(value: number): void;
  /** A whole number from 0 to 2^53, seven bits a byte, the least first. */
  varint(value: number): void;
  /** A whole number with its sign in the last bit; its size under 2^52. */
  signed(value: number): void;
  doubles(values: ArrayLike<number>): void;
  append(part: Uint8Array): void;
  readonly length: number;
  /** Returns what was written, in an array of its own. */
  bytes(): Uint8Array;
};

/** Opens a writer with room for about as many bytes. */
export function openByteWriter(room: number): ByteWriter {
  let buffer = new Uint8Array(Math.max(16, room));
  let view = new DataView(buffer.buffer);
  let at = 0;
  const reserve = (more: number): void => {
    if (at + more <= buffer.length) return;
    const grown = new Uint8Array(Math.max(buffer.length * 2, at + more));
    grown.set(buffer);
    buffer = grown;
    view = new DataView(buffer.buffer);
  };
  const varint = (value: number): void => {
    reserve(8);
    let rest = value;
    while (rest >= 0x80000000) {
      buffer[at++] = (rest % 128) | 128;
      rest = Math.floor(rest / 128);
    }
    while (rest >= 128) {
      buffer[at++] = (rest & 127) | 128;
      rest >>>= 7;
    }
    buffer[at++] = rest;
  };
  return {
    byte: (value) => {
      reserve(1);
      buffer[at++] = value;
    },
    varint,
    signed: (value) => varint(value < 0 ? -value * 2 - 1 : value * 2),
    doubles: (values) => {
      reserve(values.length * 8);
      for (let index = 0; index < values.length; index++, at += 8) {
        view.setFloat64(at, values[index] as number, true);
      }
    },
    append: (part) => {
      reserve(part.length);
      buffer.set(part, at);
      at += part.length;
    },
    get length() {
      return at;
    },
    bytes: () => buffer.slice(0, at),
  };
}
