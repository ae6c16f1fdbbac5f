/** Which addresses belong to a home network, and which of them this machine has. */
import { BlockList, isIP } from 'node:net';
import type { NetworkInterfaceInfo } from 'node:os';

/** Networks that no router of the internet passes on: RFC 1918, RFC 3927, RFC 4193, RFC 4291, RFC 6598. */
const homeNetworks = new BlockList();
for (const [net, prefix] of [
  ['10.0.0.0', 8],
  ['172.16.0.0', 12],
  ['192.168.0.0', 16],
  ['169.254.0.0', 16],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
] as const) {
  homeNetworks.addSubnet(net, prefix, 'ipv4');
}
for (const [net, prefix] of [
  ['fc00::', 7],
  ['fe80::', 10],
  ['::1', 128],
] as const) {
  homeNetworks.addSubnet(net, prefix, 'ipv6');
}

/** Networks between programs of one machine: nobody at home is there. */
const insideNames = /^(lo|docker|br-|veth|virbr|vmnet|cni|flannel|podman|lxc)/;

/** Returns whether an address is one of a home network or of this machine, so that no stranger from outside has it. */
export function isHomeAddress(address: string): boolean {
  const plain = plainAddress(address);
  const kind = isIP(plain);
  return kind !== 0 && homeNetworks.check(plain, kind === 6 ? 'ipv6' : 'ipv4');
}

/** Returns an address without zone, an IPv4 address written as IPv6 as what it is. */
function plainAddress(address: string): string {
  const [bare = ''] = address.split('%');
  return /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(bare)?.[1] ?? bare;
}

/**
 * Returns the addresses of the home network that this machine has, those that phones reach first: not its
 * loopback, not public ones, not those of containers, none that needs a zone (fe80::).
 */
export function homeAddressesOf(interfaces: NodeJS.Dict<NetworkInterfaceInfo[]>): string[] {
  const found = Object.entries(interfaces)
    .filter(([name]) => !insideNames.test(name))
    .flatMap(([, infos = []]) => infos)
    .filter(({ internal, address }) => !internal && isHomeAddress(address) && !/^fe80:/i.test(address))
    .map(({ address }) => address);
  return [...new Set(found)].sort((a, b) => rank(a) - rank(b) || a.localeCompare(b));
}

function rank(address: string): number {
  const order = [/^192\.168\./, /^10\./, /^172\./, /^100\./, /^169\.254\./];
  const at = order.findIndex((pattern) => pattern.test(address));
  return at < 0 ? order.length : at;
}
