import { expect, it } from 'vitest';
import { cookieOf, cookieOver, tokenIn } from '../../../daemon/http/cookie.ts';
import { burstMax, openCrowd, requestsPerSecondMax } from '../../../daemon/http/crowd.ts';

const token = `${'a_-'.repeat(14)}Z`;

it('sets a cookie that only this host, this site and no script gets', () => {
  expect(cookieOf(token, false)).toBe(
    `springhouse=${token}; Path=/; Max-Age=15552000; HttpOnly; SameSite=Strict`,
  );
  expect(cookieOf(token, true)).toBe(
    `__Host-springhouse=${token}; Path=/; Max-Age=15552000; HttpOnly; SameSite=Strict; Secure`,
  );
  expect(cookieOver(false)).toMatch(/^springhouse=; .*Max-Age=0/);
});

it.each([
  [`springhouse=${token}`, token],
  [`other=1; springhouse=${token}; more=2`, token],
  [`springhouse=${token}; springhouse=${token}`, null],
  [`xspringhouse=${token}`, null],
  [`springhouse=${token}x`, null],
  [`__Host-springhouse=${token}`, null],
  ['springhouse=', null],
  [undefined, null],
])('reads of %s the token %s', (header, read) => {
  expect(tokenIn(header, false)).toBe(read);
});

it('lets an address ask in bursts and steadily, and no other pays for it', () => {
  let nowMs = 0;
  const crowd = openCrowd(() => nowMs);
  const asked = (address: string, times: number) =>
    Array.from({ length: times }, () => crowd.mayAsk(address)).filter((may) => may).length;
  expect(asked('192.168.1.7', burstMax + 50)).toBe(burstMax);
  expect(asked('192.168.1.8', 1)).toBe(1);
  nowMs += 1_000;
  expect(asked('192.168.1.7', burstMax)).toBe(requestsPerSecondMax);
});
