/** Values that a sensor shows by default and may also measure: only what came before tells which. */
import { type SensorValue, sensorFault } from './sensor-value.ts';

/** What a one-wire thermometer shows after power-up, °C. */
const powerOnC = 85;

/** What a shorted line shows where its zeros cannot be seen, °C. */
const shortedC = 0;

/** The furthest that a neighbour may lie from such a value, °C, and still vouch for it. */
export const neighbourFarC = 10;

/** The longest that a neighbour vouches, in ms. */
export const neighbourOldMs = 600_000;

/** The last value of a sensor that was taken, at an instant of a steady clock. */
export type Neighbour = { tempC: number; atMs: number };

/**
 * Returns the value, or a fault in its place. Exactly 85 °C is a fault where the last value is far off,
 * and without a near one also where the sensor cannot tell that it has measured; exactly 0 °C is one where
 * the sensor cannot tell and the last value is far off. All other values, and faults, are returned as they came.
 */
export function checkStep(value: SensorValue, last: Neighbour | null, nowMs: number): SensorValue {
  if ('code' in value) return value;
  const neighbour = last !== null && nowMs - last.atMs <= neighbourOldMs ? last : null;
  const isJump = neighbour !== null && Math.abs(value.tempC - neighbour.tempC) > neighbourFarC;
  const from = neighbour === null ? 'at the start' : `after ${neighbour.tempC} °C`;
  if (value.tempC === powerOnC && (isJump || (neighbour === null && value.isConverted !== true))) {
    const rule = `must come near 85 °C before it shows just that, got it ${from}`;
    return sensorFault(rule, 'It has lost power and begun again: look at its supply and plug.');
  }
  if (value.tempC === shortedC && isJump && value.isConverted === null) {
    const rule = `must come near 0 °C before it shows just that, got it ${from}`;
    return sensorFault(rule, 'The data line may be shorted: look at its cable.');
  }
  return value;
}
