/** Reads what a byte writer wrote; beyond the end it throws a `RangeError`. */
export type ByteReader = {
  byte(): number;
  varint(): number;
  signed(): number;
  double(): number;
  readonly isAtEnd: boolean;
};

export function openByteReader(bytes: Uint8Array): ByteReader {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const varint = (): number => {
    let value = view.getUint8(at++);
    if (value < 128) return value;
    value &= 127;
    for (let unit = 128; ; unit *= 128) {
      const next = view.getUint8(at++);
      value += (next & 127) * unit;
      if (next < 128) return value;
    }
  };
  return {
    byte: () => view.getUint8(at++),
    varint,
    signed: () => {
      const value = varint();
      return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
    },
    double: () => {
      at += 8;
      return view.getFloat64(at - 8, true);
    },
    get isAtEnd() {
      return at === bytes.length;
    },
  };
}
