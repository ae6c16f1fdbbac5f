/** The framing of MQTT packets (3.1.1 and 5.0, §2.1: type, length, body), and two filters that work on it. */

/** The types of control packets (§2.1.2) that the filters tell apart. */
export const packetType = { publish: 3, puback: 4 } as const;

/** The fixed header of a packet: its first byte, its own size and the size of the body that follows. */
export type FrameHeader = { first: number; headerBytes: number; bodyBytes: number };

/** A fixed header is a byte and a length of one to four (§2.1.4). */
const headerBytesMax = 5;

/**
 * Returns the fixed header at an offset; null where bytes of it are still to come, `'malformed'` where its
 * length goes on beyond four bytes.
 */
export function headerAt(bytes: Uint8Array, offset: number): FrameHeader | null | 'malformed' {
  const first = bytes[offset];
  if (first === undefined) return null;
  let bodyBytes = 0;
  for (let size = 1; size < headerBytesMax; size++) {
    const byte = bytes[offset + size];
    if (byte === undefined) return null;
    bodyBytes += (byte & 0x7f) * 128 ** (size - 1);
    if (byte < 0x80) return { first, headerBytes: size + 1, bodyBytes };
  }
  return 'malformed';
}

/** Returns the type of the packet that this header begins. */
export function typeOf({ first }: FrameHeader): number {
  return first >> 4;
}

/** Returns one PUBACK (§3.4) for each id, in order; success in both versions of the protocol. */
export function pubacksFor(messageIds: readonly number[]): Buffer {
  const packets = Buffer.allocUnsafe(messageIds.length * 4);
  for (const [i, messageId] of messageIds.entries()) {
    packets.writeUInt16BE(0x4002, i * 4);
    packets.writeUInt16BE(messageId, i * 4 + 2);
  }
  return packets;
}

/**
 * Returns a filter for what a client writes, in pieces of any size: it gives back whole packets only, so
 * that something may be written between two calls, and leaves out every PUBACK.
 */
export function createPubackFilter(): (bytes: Uint8Array) => Uint8Array[] {
  let held: Uint8Array = new Uint8Array(0);
  return (bytes) => {
    held = held.length === 0 ? bytes : Buffer.concat([held, bytes]);
    const packets: Uint8Array[] = [];
    for (;;) {
      const header = headerAt(held, 0);
      // The client is our own library: what it cannot frame would be a bug.
      if (header === 'malformed') throw new Error('MQTT packet to be sent has a malformed length');
      if (header === null || held.length < header.headerBytes + header.bodyBytes) return packets;
      const packetBytes = header.headerBytes + header.bodyBytes;
      if (typeOf(header) !== packetType.puback) packets.push(held.subarray(0, packetBytes));
      held = held.subarray(packetBytes);
    }
  };
}

/**
 * Returns a filter for what a broker sends, in pieces of any size: a PUBLISH whose body is over
 * `bodyBytesMax` is passed on cut to that size, as a packet of its own, so that a reader of whole packets
 * never holds more. It gives `'malformed'` for anything else as long, and for a length that is none; the
 * stream cannot be read on then.
 */
export function createPublishCutter(bodyBytesMax: number): (bytes: Uint8Array) => Uint8Array[] | 'malformed' {
  /** A header whose last bytes are still to come. */
  let begun: Uint8Array = new Uint8Array(0);
  let passBytes = 0;
  let dropBytes = 0;
  return (chunk) => {
    const bytes = begun.length === 0 ? chunk : Buffer.concat([begun, chunk]);
    begun = new Uint8Array(0);
    const pieces: Uint8Array[] = [];
    // Packets that need no cut leave as one piece: the usual chunk is passed on as it came.
    let from = 0;
    let to = 0;
    for (;;) {
      const passed = Math.min(passBytes, bytes.length - to);
      passBytes -= passed;
      to += passed;
      if (dropBytes > 0 && passBytes === 0) {
        if (to > from) pieces.push(bytes.subarray(from, to));
        from = to + Math.min(dropBytes, bytes.length - to);
        dropBytes -= from - to;
        to = from;
      }
      if (to === bytes.length) break;
      const header = headerAt(bytes, to);
      if (header === 'malformed') return 'malformed';
      if (header === null) {
        begun = bytes.slice(to);
        break;
      }
      if (header.bodyBytes <= bodyBytesMax) {
        passBytes = header.headerBytes + header.bodyBytes;
        continue;
      }
      if (typeOf(header) !== packetType.publish) return 'malformed';
      if (to > from) pieces.push(bytes.subarray(from, to));
      pieces.push(headerFor(header.first, bodyBytesMax));
      from = to + header.headerBytes;
      to = from;
      passBytes = bodyBytesMax;
      dropBytes = header.bodyBytes - bodyBytesMax;
    }
    if (to > from) pieces.push(bytes.subarray(from, to));
    return pieces;
  };
}

function headerFor(first: number, bodyBytes: number): Uint8Array {
  const bytes = [first];
  for (let rest = bodyBytes; ; rest = Math.floor(rest / 128)) {
    if (rest < 128) return Uint8Array.of(...bytes, rest);
    bytes.push((rest % 128) | 0x80);
  }
}
