/** The two files in which Linux shows a one-wire thermometer, as text. */
import { parseScratchpad, type SensorFamily } from '../sensor/scratchpad.ts';
import { inSensorRange, type SensorValue, sensorFault } from '../sensor/sensor-value.ts';

const slaveLine = /^((?:[0-9a-f]{2} ){9}): crc=[0-9a-f]{2} (YES|NO)$/;

/**
 * Reads a `w1_slave` file: nine bytes and the kernel's verdict on their checksum in its first line. The
 * bytes are checked again and are the value; the second line is not read, since after a `NO` its bytes and
 * its `t=` are those of an earlier answer.
 */
export function parseSlaveFile(text: string, family: SensorFamily): SensorValue {
  const [, hexBytes, verdict] = slaveLine.exec(text.split('\n')[0]?.trimEnd() ?? '') ?? [];
  if (hexBytes === undefined) {
    return sensorFault(
      'must be shown as nine bytes and a checksum, got other text',
      'Look at the kernel driver.',
    );
  }
  if (verdict === 'NO') {
    const advice = 'Look at its cable: length, joints, the pull-up resistor.';
    return {
      code: 'SENSOR_CRC',
      rule: `must answer with a checksum that fits, got ${hexBytes.trimEnd()}`,
      advice,
    };
  }
  return parseScratchpad(Buffer.from(hexBytes.replaceAll(' ', ''), 'hex'), family);
}

/**
 * Reads a `temperature` file: thousandths of a °C. Null where it is empty, which says that a measurement
 * is under way and a value comes later.
 */
export function parseTemperatureFile(text: string): SensorValue | null {
  const digits = text.trim();
  if (digits === '') return null;
  if (!/^-?\d{1,7}$/.test(digits)) {
    return sensorFault('must be shown as thousandths of a °C, got other text', 'Look at the kernel driver.');
  }
  return inSensorRange(Number(digits) / 1000, null);
}
