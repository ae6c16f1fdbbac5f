import { expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import { milkTrace } from './trace.ts';

const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 3_600_000, guarded: true },
  places: {},
  probes: {},
  startsByItself: true,
};

it('ends the first jar and begins the second where the same probe goes from cold milk into warm', () => {
  const first = milkTrace({ beforeMin: 5, aroundC: 1, tauMin: 12, minutes: 80, everyMs: 3_000 });
  const intoMs = (first.at(-1)?.atMs ?? 0) + 3_000;
  const second = milkTrace({
    aroundC: -2,
    tauMin: 60,
    minutes: 20,
    everyMs: 3_000,
    seed: 2,
    startMs: intoMs,
  });
  // The probe brings the cold of the first jar with it: 12 s of lag.
  const warmed = second.map(({ atMs, tempC }) => ({
    atMs,
    tempC: Math.round((tempC - 32 * Math.exp(-(atMs - intoMs) / 12_000)) * 16) / 16,
  }));
  const state = openWatching();
  const events = [...first, ...warmed].flatMap(({ atMs, tempC }, index) =>
    drive(
      state,
      {
        inputSeq: index + 1,
        receivedMs: atMs,
        kind: 'reading',
        reading: { probe: 'jar', atMs, tempC, flags: 0 },
      },
      rules,
    ),
  );
  const turns = events.filter(({ kind }) => /^watch-(opened|ended)$|^chill-made$/.test(kind));
  expect(turns.map(({ kind }) => kind)).toEqual([
    'watch-opened',
    'chill-made',
    'watch-ended',
    'watch-opened',
  ]);
  const begun = turns.at(-1);
  expect(begun?.kind === 'watch-opened' && Math.abs(begun.body.sinceMs - intoMs)).toBeLessThanOrEqual(60_000);
  expect((begun?.atMs ?? 0) - intoMs).toBeLessThanOrEqual(300_000);
});
