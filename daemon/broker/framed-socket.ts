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
 * Bounds what a socket gives to a reader that waits for whole packets: no packet over `packetBodyBytesMax`,
 * and nothing while `mayRead` is false; what comes then waits in the socket and slows its sender. The reader
 * must ask again on its own once that is over. The broker reads by `read` whenever a message is answered, and
 * a stream in between would copy every byte twice, so the socket's own `read` is put behind the filter.
 */
export function frameSocket(socket: Socket, mayRead: () => boolean): void {
  const cut = createPublishCutter(packetBodyBytesMax);
  const read = socket.read.bind(socket);
  socket.read = (size?: number) => {
    // A read of nothing is Node's own, to fill the buffer up to its bound.
    if (size !== 0 && !mayRead()) return null;
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
