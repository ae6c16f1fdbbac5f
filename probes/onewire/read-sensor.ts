/** Reading one sensor's files. */
import { open } from 'node:fs/promises';
import { join } from 'node:path';
import type { SensorFamily } from '../sensor/scratchpad.ts';
import { type SensorValue, sensorFault } from '../sensor/sensor-value.ts';
import { parseSlaveFile, parseTemperatureFile } from './kernel-text.ts';

/** The most bytes read of a file; the kernel's are under a hundred, and what follows is not read. */
const fileBytesMax = 512;

/** What the kernel answers where a sensor or its driver is not there, at the opening or during a read. */
const absent = new Set(['ENOENT', 'ENODEV', 'ENOTDIR']);

/**
 * Reads a sensor by its number: `w1_slave`, whose bytes can be checked, or `temperature` where the kernel
 * has only that. `'measuring'` where a value is not there yet, `'missing'` where neither file is. Other
 * failures are the sensor's fault; nothing rejects.
 */
export async function readSensor(
  busPath: string,
  number: string,
  family: SensorFamily,
): Promise<SensorValue | 'measuring' | 'missing'> {
  try {
    const slave = await readHead(join(busPath, number, 'w1_slave'));
    if (slave !== null) return parseSlaveFile(slave, family);
    const temperature = await readHead(join(busPath, number, 'temperature'));
    return temperature === null ? 'missing' : (parseTemperatureFile(temperature) ?? 'measuring');
  } catch (fault) {
    const code = fault instanceof Error && 'code' in fault ? fault.code : fault;
    return sensorFault(`must answer, got ${code}`, 'Look at its plug, cable and supply.');
  }
}

/** Returns the beginning of a file as text, null where it is not there. */
async function readHead(path: string): Promise<string | null> {
  try {
    const file = await open(path, 'r');
    try {
      const { buffer, bytesRead } = await file.read(Buffer.alloc(fileBytesMax), 0, fileBytesMax, 0);
      return buffer.toString('latin1', 0, bytesRead);
    } finally {
      await file.close();
    }
  } catch (fault) {
    if (fault instanceof Error && 'code' in fault && absent.has(String(fault.code))) return null;
    throw fault;
  }
}
