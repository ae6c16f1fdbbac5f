import { expect, test, vi } from 'vitest';
import { createLossyTakes, surplusProbesMax, surplusRefusalsMax } from '../../probes/lossy-takes.ts';
import { createRecordingSink } from '../contract/recording-sink.ts';

const message = 'line must come no faster than the house commits, got more. Send readings less often.';
const reading = (probe: string, tempC: number) => ({ probe, tempC, atMs: null, undated: false });
const surplus = (probe: string | null) => ({ source: 'usb', probe, code: 'WIRE_SURPLUS', message });

test('offers readings and refusals as what cannot be sent again, and nothing for nothing', () => {
  const sink = createRecordingSink();
  const takes = createLossyTakes('usb', sink);
  takes.offer({ readings: [reading('plum', 4)], refusals: [] });
  takes.offer({ readings: [], refusals: [] });
  expect(sink.offers).toEqual([
    { source: 'usb', readings: [reading('plum', 4)], refusals: [], canResend: false },
  ]);
});

test('drops what is over the bound, and counts each once there is room', async () => {
  const sink = createRecordingSink();
  const takes = createLossyTakes('usb', sink, 2);
  sink.hold();
  for (let tempC = 0; tempC < 5; tempC++) takes.offer({ readings: [reading('plum', tempC)], refusals: [] });
  takes.offer({ readings: [reading('sorrel', 5)], refusals: [] });
  expect(sink.readings().map(({ tempC }) => tempC)).toEqual([0, 1]);
  sink.commit();
  await vi.waitFor(() =>
    expect(sink.refusals()).toEqual([surplus('plum'), surplus('plum'), surplus('plum'), surplus('sorrel')]),
  );
  takes.offer({ readings: [reading('plum', 6)], refusals: [] });
  expect(sink.readings().at(-1)).toEqual(reading('plum', 6));
});

test('counts a flood of probes exactly in bounded memory', async () => {
  const sink = createRecordingSink();
  const takes = createLossyTakes('usb', sink, 1);
  sink.hold();
  const flood = 3 * surplusRefusalsMax + 7;
  takes.offer({ readings: [reading('plum', 0)], refusals: [] });
  for (let i = 0; i < flood; i++) takes.offer({ readings: [reading(`p${i}`, 0)], refusals: [] });
  sink.commit();
  await vi.waitFor(() => expect(sink.refusals().length).toBe(flood));
  const names = new Set(sink.refusals().map(({ probe }) => probe));
  expect(names.size).toBe(surplusProbesMax + 1);
  expect(Math.max(...sink.offers.map(({ refusals }) => refusals.length))).toBe(surplusRefusalsMax);
});

test('goes on after a commit that failed', async () => {
  const sink = createRecordingSink();
  const takes = createLossyTakes('usb', sink, 1);
  sink.failNext(1);
  takes.offer({ readings: [reading('plum', 1)], refusals: [] });
  await vi.waitFor(() => {
    takes.offer({ readings: [reading('plum', 2)], refusals: [] });
    expect(sink.readings().at(-1)).toEqual(reading('plum', 2));
  });
});
