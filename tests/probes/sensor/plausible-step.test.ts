import { describe, expect, test } from 'vitest';
import { checkStep, neighbourOldMs } from '../../../probes/sensor/plausible-step.ts';
import { sensorFault } from '../../../probes/sensor/sensor-value.ts';

const near = { tempC: 84.5, atMs: 0 };
const far = { tempC: 21, atMs: 0 };
const shown = (tempC: number, isConverted: boolean | null) => ({ tempC, isConverted });
const poweredUp = (from: string) => ({
  code: 'SENSOR_FAULT',
  rule: `must come near 85 °C before it shows just that, got it ${from}`,
  advice: 'It has lost power and begun again: look at its supply and plug.',
});

describe('exactly 85 °C', () => {
  test('is taken on the way through, whatever the sensor can tell', () => {
    for (const isConverted of [true, false, null]) {
      expect(checkStep(shown(85, isConverted), near, 1000)).toEqual(shown(85, isConverted));
    }
  });

  test('is refused as a jump', () => {
    for (const isConverted of [true, false, null]) {
      expect(checkStep(shown(85, isConverted), far, 1000)).toEqual(poweredUp('after 21 °C'));
    }
  });

  test('is refused at the start unless the sensor has measured it', () => {
    expect(checkStep(shown(85, null), null, 1000)).toEqual(poweredUp('at the start'));
    expect(checkStep(shown(85, null), near, neighbourOldMs + 1)).toEqual(poweredUp('at the start'));
    expect(checkStep(shown(85, true), null, 1000)).toEqual(shown(85, true));
  });
});

describe('exactly 0 °C', () => {
  const shorted = {
    code: 'SENSOR_FAULT',
    rule: 'must come near 0 °C before it shows just that, got it after 21 °C',
    advice: 'The data line may be shorted: look at its cable.',
  };

  test('is refused as a jump where the bytes behind it cannot be seen', () => {
    expect(checkStep(shown(0, null), far, 1000)).toEqual(shorted);
    expect(checkStep(shown(0, true), far, 1000)).toEqual(shown(0, true));
  });

  test('is taken in ice water, from the start or on the way', () => {
    expect(checkStep(shown(0, null), null, 1000)).toEqual(shown(0, null));
    expect(checkStep(shown(0, null), { tempC: 2.5, atMs: 0 }, 1000)).toEqual(shown(0, null));
  });
});

test('leaves other jumps and faults alone: warm milk is one', () => {
  expect(checkStep(shown(38.5, null), { tempC: 4, atMs: 0 }, 1000)).toEqual(shown(38.5, null));
  const fault = sensorFault('must answer, got EIO', 'Look.');
  expect(checkStep(fault, far, 1000)).toBe(fault);
});
