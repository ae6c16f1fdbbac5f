import type { House } from './config/house-file.ts';

/**
 * Says why a reading is not taken: its probe stands not in the house file, or has another wire of its own.
 * Null where it is taken. So nobody can fill the disk with probes that do not exist.
 */
export function probeRuleOf(house: House): (probe: string, source: string) => string | null {
  const wires = new Map(house.probes.map(({ id, source }) => [id, source]));
  return (probe, source) => {
    const wire = wires.get(probe);
    if (wire === undefined) {
      return `probe must be one of the house file, got ${probe} on ${source}. Add it there, or correct the id in the device.`;
    }
    if (wire === null || wire === source) return null;
    return `readings of ${probe} must come on ${wire}, got one on ${source}. Change its source in the house file, or the device.`;
  };
}
