/** The checksum of one-wire sensors. */

/** X⁸+X⁵+X⁴+1 with its bits in reverse, as the bytes travel least bit first. */
const reflectedPolynomial = 0x8c;

/**
 * Returns the CRC-8 of one-wire devices (polynomial X⁸+X⁵+X⁴+1, reflected, from 0) over the bytes. Over a
 * scratchpad and its checksum it is 0; so it is over zeros alone, which therefore prove nothing.
 */
export function crc8(bytes: Uint8Array): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ reflectedPolynomial : crc >> 1;
  }
  return crc;
}
