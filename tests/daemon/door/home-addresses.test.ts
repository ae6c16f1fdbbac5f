import type { NetworkInterfaceInfo } from 'node:os';
import { expect, it } from 'vitest';
import { homeAddressesOf, isHomeAddress } from '../../../daemon/door/home-addresses.ts';
import { settingsFault } from '../../../daemon/door/settings-fault.ts';
import { shutDoor } from '../../../shared/contract/door.ts';

it.each([
  // RFC 1918, RFC 3927, RFC 6598, RFC 4193, RFC 4291, and IPv4 as IPv6 writes it (RFC 4291 §2.5.5.2).
  ['192.168.1.20', true],
  ['10.0.0.1', true],
  ['172.31.255.254', true],
  ['172.32.0.1', false],
  ['169.254.7.7', true],
  ['100.64.0.9', true],
  ['100.128.0.1', false],
  ['fd12::1', true],
  ['fe80::1%eth0', true],
  ['::1', true],
  ['::ffff:192.168.1.20', true],
  ['::ffff:8.8.8.8', false],
  ['8.8.8.8', false],
  ['2001:db8::1', false],
  ['dairy.local', false],
  ['', false],
])('says of %s whether it is of a home network: %s', (address, is) => {
  expect(isHomeAddress(address)).toBe(is);
});

const info = (address: string, internal = false) => ({ address, internal }) as NetworkInterfaceInfo;

it('finds the addresses that phones reach, the likeliest first', () => {
  const interfaces = {
    lo: [info('127.0.0.1', true)],
    docker0: [info('172.17.0.1')],
    eth0: [info('10.1.2.3'), info('2001:db8::5'), info('fe80::5'), info('fd00::5')],
    wlan0: [info('192.168.1.20'), info('192.168.1.20')],
    ppp0: [info('203.0.113.7')],
  };
  expect(homeAddressesOf(interfaces)).toEqual(['192.168.1.20', '10.1.2.3', 'fd00::5']);
});

it.each([
  [{ addresses: ['192.168.1.20'] }, null],
  [{ addresses: ['8.8.8.8'] }, 'the address must be an address of a home network'],
  [{ addresses: ['dairy.local'] }, 'the address must be'],
  [{ names: ['dairy.local'] }, null],
  [{ names: ['dairy.local:80'] }, 'the name must be a host name'],
  [{ names: ['192.168.1.20'] }, 'the name must be a host name'],
  [{ certFile: '/c' }, 'the certificate must be given together with its key, got no key'],
  [{ keyFile: '/k' }, 'got a key alone'],
  [{ certFile: '/c', keyFile: '/k' }, null],
])('judges the settings %j: %s', (more, fault) => {
  const got = settingsFault({ ...shutDoor, ...more });
  if (fault === null) expect(got).toBeNull();
  else expect(got).toContain(fault);
});
