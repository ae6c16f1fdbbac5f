/** Who may connect from the network at all, before anything is read of it. */
import type { Socket } from 'node:net';
import { isHomeAddress } from './home-addresses.ts';

/**
 * Connections of one address at once, to the page or to the broker; one more is closed as it comes. A page
 * needs six, a device with several probes one for each.
 */
export const connectionsPerAddressMax = 24;

/**
 * Returns the rule for one kind of door: peers of home networks only, since what comes from elsewhere came
 * through a router that lets strangers in, and only so many connections of each.
 */
export function visitorRule(): (socket: Socket) => boolean {
  const connected = new Map<string, number>();
  return (socket) => {
    const address = socket.remoteAddress ?? '';
    const count = connected.get(address) ?? 0;
    if (!isHomeAddress(address) || count >= connectionsPerAddressMax) return false;
    connected.set(address, count + 1);
    socket.once('close', () => {
      const left = (connected.get(address) ?? 1) - 1;
      if (left > 0) connected.set(address, left);
      else connected.delete(address);
    });
    return true;
  };
}
