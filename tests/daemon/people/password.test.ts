import { expect, it } from 'vitest';
import { hashesWaitingMax, openHashing, passwordFault } from '../../../daemon/people/password.ts';

it('keeps a password by scrypt with the work that OWASP asks for, salted, and knows it again', async () => {
  // OWASP Password Storage Cheat Sheet, scrypt: N=2^15 (32 MiB), r=8, p=3.
  const { hash, fits } = openHashing();
  const [line, another] = await Promise.all([hash('larch-kettle-moss'), hash('larch-kettle-moss')]);
  expect(line).toMatch(/^scrypt\$32768\$8\$3\$[\w-]{22}\$[\w-]{43}$/);
  expect(line).not.toBe(another);
  expect(await Promise.all([fits('larch-kettle-moss', line), fits('larch-kettle-mosS', line)])).toEqual([
    true,
    false,
  ]);
});

it('takes as long for a name that nobody has', async () => {
  const { hash, fits } = openHashing();
  const line = await hash('larch-kettle-moss');
  const spanOf = async (kept: string | null) => {
    const fromMs = performance.now();
    expect(await fits('another-one', kept)).toBe(false);
    return performance.now() - fromMs;
  };
  await spanOf(line);
  expect((await spanOf(null)) / (await spanOf(line))).toBeGreaterThan(0.3);
});

it('takes the same password in either composition of its letters', async () => {
  const { hash, fits } = openHashing({ N: 1024, r: 8, p: 1 });
  expect(await fits('Ku\u0308he im Stall', await hash('K\u00fche im Stall'))).toBe(true);
});

it('lets only so many wait', async () => {
  const { hash } = openHashing({ N: 1024, r: 8, p: 1 });
  const asked = await Promise.all(
    Array.from({ length: hashesWaitingMax + 5 }, () => hash('larch-kettle-moss')),
  );
  expect(asked.filter((line) => line === null).length).toBe(3);
});

it.each([
  ['larch-kettle', null],
  ['plum-stands-by-the-gate', null],
  ['short', 'from 10 to 128 characters long'],
  ['x'.repeat(129), 'from 10 to 128 characters long'],
  ['plumplumplum', 'harder to guess'],
  ['Password123', 'harder to guess'],
  ['ababababababab', 'harder to guess'],
])('says of %s: %s', (password, rule) => {
  expect(passwordFault(password, 'Plum')).toBe(rule);
});
