import type { Random } from './random.ts';

/** How a sensor departs from the truth. */
export type SensorBuild = { biasC: number; noiseC: number; stepC: number };

/** A digital sensor in a steel tube: ± 0.0625 °C steps of 12 bits, with a little noise before them. */
export const steelTube: SensorBuild = { biasC: 0, noiseC: 0.035, stepC: 0.0625 };

/**
 * Seconds to 63 % of a step: a steel tube plunged into stirred water takes 7 to 19 s (measured); in still
 * air a tenth of the film makes it minutes (common practice, no source).
 */
export const lagS = { liquid: 12, air: 100 } as const;

export type Sensor = {
  /** Lets the sensor stand in a medium for a span. */
  follow(o: { mediumC: number; lagS: number; spanS: number }): void;
  /** Returns one reading in °C, a whole number of steps. Each call draws new noise. */
  read(): number;
};

/** Makes a sensor with a first-order lag, at rest at `startC`. */
export function makeSensor(build: SensorBuild, o: { startC: number; random: Random }): Sensor {
  let tipC = o.startC;
  return {
    follow: ({ mediumC, lagS: lag, spanS }) => {
      // Exact for a medium that holds still over the span, however long.
      tipC += (mediumC - tipC) * -Math.expm1(-spanS / lag);
    },
    read: () => {
      const rawC = tipC + build.biasC + build.noiseC * o.random.gaussian();
      return Math.round(rawC / build.stepC) * build.stepC;
    },
  };
}
