/**
 * The stream between the MQTT library and the socket. The library acknowledges a message as soon as it
 * has handed it over; the gate keeps that PUBACK in and sends it once the house has committed.
 */
import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';
import { createPubackFilter, createPublishCutter, pubacksFor } from './frames.ts';

/** How long what was written before the end may take to go out; then the socket is dropped. */
const lingerMs = 500;

/** What the library reads and writes in place of the socket, and the way past it for acknowledgements. */
export type AckGate = {
  stream: Duplex;
  /** Sends a PUBACK for each id, in this order; nothing is sent once the socket is gone. */
  acknowledge(messageIds: readonly number[]): void;
};

/**
 * Returns a gate around a socket; it owns the socket from then on. Closing either closes both. All but
 * PUBACKs pass out, as whole packets; a PUBLISH whose body is over `bodyBytesMax` comes in cut to it, and
 * any other packet as long closes the connection.
 */
export function createAckGate(socket: Socket, bodyBytesMax: number): AckGate {
  const leaveOutPubacks = createPubackFilter();
  const cutLong = createPublishCutter(bodyBytesMax);

  const stream = new Duplex({
    read() {
      socket.resume();
    },
    write(chunk: Buffer, _encoding, done) {
      for (const packet of leaveOutPubacks(chunk)) socket.write(packet);
      done();
    },
    final(done) {
      socket.end();
      done();
    },
    destroy(fault, done) {
      // What was written just before (an acknowledgement, a goodbye) still goes out.
      socket.destroySoon();
      const linger = setTimeout(() => socket.destroy(), lingerMs);
      socket.once('close', () => clearTimeout(linger));
      done(fault);
    },
  });

  socket.on('data', (chunk: Buffer) => {
    if (stream.destroyed) return;
    const pieces = cutLong(chunk);
    if (pieces === 'malformed') {
      stream.destroy(
        new Error(`broker must send packets of ${bodyBytesMax} bytes at most, got a longer one`),
      );
      return;
    }
    for (const piece of pieces) {
      if (!stream.push(piece)) socket.pause();
    }
  });
  socket.on('end', () => stream.push(null));
  socket.on('error', (fault) => stream.destroy(fault));
  socket.on('close', () => stream.destroy());

  return {
    stream,
    acknowledge(messageIds) {
      if (messageIds.length > 0 && socket.writable) socket.write(pubacksFor(messageIds));
    },
  };
}
