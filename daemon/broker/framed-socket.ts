import type { Socket } from 'node:net';
import { createPublishCutter } from '../../probes/mqtt/frames.ts';
import { payloadBytesMax } from '../../probes/mqtt/reading-message.ts';

/**
 * The longest body of a packet that is held: the longest payload that is read behind the longest topic
 * (MQTT 3.1.1 §1.5.3). A longer message is cut to it as it comes, so that it is refused by its length and
 * acknowledged; any other packet as long ends the connection.
 */
export const packetBodyBytesMax = payloadBytesMax + 65_535 + 4;

/**
 * Bounds what a socket gives to a reader that waits for whole packets. The broker reads by `read`, and its
 * parser would hold a packet of any length that a client claims; a stream in between would cost every byte
 * two more copies of its bookkeeping, so the socket's own `read` is put behind the filter.
 */
export function frameSocket(socket: Socket): void {
  const cut = createPublishCutter(packetBodyBytesMax);
  const read = socket.read.bind(socket);
  socket.read = (size?: number) => {
    const bytes: Buffer | null = read(size);
    if (bytes === null) return null;
    const pieces = cut(bytes);
    if (pieces === 'malformed') {
      socket.destroy();
      return null;
    }
    if (pieces.length === 1) return pieces[0];
    return pieces.length === 0 ? null : Buffer.concat(pieces);
  };
}
