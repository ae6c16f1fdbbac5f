import { isIP } from 'node:net';
import type { DoorSettings } from '../../shared/contract/door.ts';
import { isHomeAddress } from './home-addresses.ts';

/** A name as it may stand in a Host header: letters, digits and dashes between dots. */
const hostName = /^(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*$/i;

/** Returns why a house cannot be opened so, as a whole fault; null where it can. */
export function settingsFault({ addresses, names, certFile, keyFile }: DoorSettings): string | null {
  const address = addresses.find((each) => isIP(each) === 0 || !isHomeAddress(each));
  if (address !== undefined) {
    return fault(
      'address',
      'an address of a home network, such as 192.168.1.20',
      `${address}. To reach the house from elsewhere use a private tunnel`,
    );
  }
  const name = names.find((each) => !hostName.test(each) || isIP(each) !== 0);
  if (name !== undefined) return fault('name', 'a host name, such as dairy.local', name);
  if ((certFile === null) === (keyFile === null)) return null;
  return fault('certificate', 'given together with its key', certFile === null ? 'a key alone' : 'no key');
}

function fault(thing: string, rule: string, got: string): string {
  return `DOOR_SETTING: the ${thing} must be ${rule}, got ${got}. springhouse open --help lists the options.`;
}
