/** A wire between two ends on the loopback that can be cut at any moment: all that runs through it ends. */

import type { AddressInfo } from 'node:net';
import { connect, createServer, type Socket } from 'node:net';

export type CutWire = {
  /** Where the near end connects. */
  port: number;
  /** Cuts every connection at once; new ones are taken again. */
  cut(): void;
  close(): Promise<void>;
};

/** Opens a wire to a port of the loopback. */
export async function openCutWire(toPort: number): Promise<CutWire> {
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = connect(toPort, '127.0.0.1');
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', () => {});
      socket.once('close', () => {
        sockets.delete(socket);
        near.destroy();
        far.destroy();
      });
    }
    near.pipe(far);
    far.pipe(near);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const cut = () => {
    for (const socket of sockets) socket.destroy();
  };
  return {
    port: (server.address() as AddressInfo).port,
    cut,
    close: async () => {
      cut();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
