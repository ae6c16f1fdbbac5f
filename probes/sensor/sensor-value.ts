/** What a sensor shows: a temperature, or a state of the sensor that is none. */
import type { RefusalCode } from '../source.ts';

/**
 * A temperature in °C, or why there is none: the code, the rule that was broken with the value (`must …,
 * got …`), and what to do. `isConverted` is null where the sensor cannot tell whether it has measured.
 */
export type SensorValue =
  | { tempC: number; isConverted: boolean | null }
  | { code: Extract<RefusalCode, 'SENSOR_CRC' | 'SENSOR_FAULT'>; rule: string; advice: string };

/** The range of the chips that Linux names as one-wire thermometers, °C (DS18B20 data sheet). */
export const sensorCMin = -55;
export const sensorCMax = 125;

/** Returns a fault of the sensor's state. */
export function sensorFault(rule: string, advice: string): SensorValue {
  return { code: 'SENSOR_FAULT', rule, advice };
}

/** Returns a temperature in °C as a value, or the fault that it stands for where no chip can have measured it. */
export function inSensorRange(tempC: number, isConverted: boolean | null): SensorValue {
  if (tempC >= sensorCMin && tempC <= sensorCMax) return { tempC, isConverted };
  const rule = `must show ${sensorCMin} to ${sensorCMax} °C, got ${tempC}`;
  if (tempC > 127.9 && tempC < 128)
    return sensorFault(rule, 'The sensor has too little power: look at its supply.');
  return sensorFault(rule, 'The sensor is not connected or broken: look at its plug and cable.');
}
