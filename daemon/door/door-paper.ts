/** What `springhouse open` prints: where to go, the code to come in with, the keys for the probes. */
import type { OpenedView, PairingView } from '../../shared/contract/door.ts';
import { qrLines } from './qr.ts';

/** Returns the lines for a terminal; `isTerminal` false leaves the picture out, which needs one. */
export function doorPaper(opened: OpenedView, { isTerminal }: { isTerminal: boolean }): string[] {
  const { pages, brokers, pairing, keys, faults, house, secure } = opened;
  const lines: string[] = [];
  if (pages.length === 0) lines.push('The house is open, but it has no address of a home network yet.');
  else lines.push('The house is open to its home network.', ...pages.map((url) => `  the page    ${url}/`));
  lines.push(...brokers.map((url) => `  for probes  ${url}  topic springhouse/${house}/reading/<probe>`));
  if (keys.length > 0) {
    lines.push('', 'Keys of the probes: the user is the probe’s id, the password stands here this once.');
    const width = Math.max(...keys.map(({ probe }) => probe.length));
    lines.push(...keys.map(({ probe, password }) => `  ${probe.padEnd(width)}  ${password}`));
  }
  if (pairing !== null) lines.push('', ...pairingPaper(pairing, { isTerminal }));
  if (!secure && pages.length > 0) {
    lines.push(
      '',
      'Without a certificate what passes is not encrypted: whoever can listen in this network can read it,',
      'passwords and keys too. deploy/docs/security.md says how to give one.',
    );
  }
  lines.push(...faults.map((fault) => `\n${fault}`));
  return lines;
}

/** Returns the lines by which somebody comes in. */
export function pairingPaper(pairing: PairingView, { isTerminal }: { isTerminal: boolean }): string[] {
  return [
    'To come in, scan this with a phone that is in the same network, or open the page and type the code.',
    'It is good once, for ten minutes.',
    ...(isTerminal && pairing.qr.length > 0 ? ['', ...qrLines(pairing.qr)] : []),
    '',
    `  code  ${pairing.code}`,
    ...(pairing.url === '' ? [] : [`  link  ${pairing.url}`]),
  ];
}
