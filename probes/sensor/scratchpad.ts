/** The nine bytes that a one-wire thermometer answers with, read as a temperature. */
import { crc8 } from './crc8.ts';
import { inSensorRange, type SensorValue, sensorFault } from './sensor-value.ts';

/**
 * The families of one-wire thermometers (Linux, w1_therm): DS18S20, DS1822, DS18B20, DS1825, DS28EA00.
 * They are the first two digits of a sensor's number.
 */
export const sensorFamilies = ['10', '22', '28', '3b', '42'] as const;
export type SensorFamily = (typeof sensorFamilies)[number];

/** Byte 6 of a DS18B20 and its kin holds this after power-up, before anything was measured. */
const notConverted = 0x0c;
const powerOnRaw = 0x0550;
const tooLittlePowerRaw = 0x07ff;

/**
 * Reads a scratchpad by its family. Refused are a checksum that does not fit, nine zeros (a shorted line,
 * whose checksum fits), what a chip shows after power-up or with too little power, and what is beyond its
 * range. Formulas: DS18B20 and DS18S20 data sheets; Linux drivers/w1/slaves/w1_therm.c.
 */
export function parseScratchpad(bytes: Uint8Array, family: SensorFamily): SensorValue {
  if (bytes.length !== 9)
    return sensorFault(`must answer nine bytes, got ${bytes.length}`, 'Look at its cable.');
  if (bytes.every((byte) => byte === 0)) {
    return sensorFault(
      'must answer more than zeros, got nine',
      'The data line is shorted: look at its cable.',
    );
  }
  const crc = crc8(bytes.subarray(0, 8));
  if (crc !== bytes[8]) {
    const rule = `must answer with the checksum ${hex(crc)}, got ${hex(bytes[8] ?? 0)}`;
    return { code: 'SENSOR_CRC', rule, advice: 'Look at its cable: length, joints, the pull-up resistor.' };
  }
  return family === '10' ? readDs18s20(bytes) : readDs18b20(bytes);
}

/** Sixteenths of a °C, two's complement; bits below the resolution set in byte 4 mean nothing. */
function readDs18b20(bytes: Uint8Array): SensorValue {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const raw = view.getInt16(0, true);
  const isConverted = bytes[6] !== notConverted;
  if (raw === powerOnRaw && !isConverted) {
    return sensorFault(
      'must show a measured value, got the 85 °C of its power-up',
      'Look at its supply and plug.',
    );
  }
  if (raw === tooLittlePowerRaw) return inSensorRange(raw / 16, isConverted);
  const unusedBits = 3 - (((bytes[4] ?? 0) >> 5) & 3);
  return inSensorRange(((raw >> unusedBits) << unusedBits) / 16, isConverted);
}

/** Halves of a °C, made finer by the counts in bytes 6 and 7; it cannot tell 85 °C from its power-up. */
function readDs18s20(bytes: Uint8Array): SensorValue {
  const [low = 0, high = 0] = bytes;
  const countRemain = bytes[6] ?? 0;
  const countPerC = bytes[7] ?? 0;
  if (countPerC === 0) return sensorFault('must answer with a count per °C, got 0', 'Look at its cable.');
  const wholeC = ((high === 0 ? low : low - 0x100) >> 1) - 0.25;
  return inSensorRange(wholeC + (countPerC - countRemain) / countPerC, null);
}

function hex(byte: number): string {
  return byte.toString(16).padStart(2, '0');
}
