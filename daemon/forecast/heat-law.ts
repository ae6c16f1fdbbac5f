/** What takes heat from a pot at a temperature: its walls, and the vapour that leaves it. */
import { airPressurePa } from '../../shared/dairy/air-pressure.ts';
import { milkBoilsC, saturationPa } from '../../shared/dairy/boiling.ts';

/**
 * Losses of a pot by temperature, without their sizes: `wall` is 1 where the milk is 50 K over the room,
 * `vapour` 1 at 70 °C. Tables each `stepC` from `fromC` on; they belong to one room and one height.
 */
export type HeatLaw = {
  fromC: number;
  stepC: number;
  wall: Float64Array;
  vapour: Float64Array;
  roomC: number;
  boilsC: number;
};

/** How fast heat comes in and goes: °C a minute, and minutes. */
export type HeatRates = { flow: number; burner: number; wall: number; vapour: number; lagMin: number };

const fromC = -5;
const stepC = 0.5;
const toC = 105;
/** Free convection and radiation together grow a little faster than the difference. */
const wallPower = 1.18;
/** Warm moist air rises the faster the more of it there is: free convection's share of the drive. */
const vapourPower = 1.25;
/** How moist a kitchen's air is, of its saturation. */
const moisture = 0.5;
/** Vapour cannot be more than this share of the air over the milk; nearer to the boil the milk bubbles. */
const vapourShareMax = 0.97;

/** Tables for a room's temperature in °C and a height in m. */
export function heatLaw(roomC: number, heightM: number): HeatLaw {
  const pressurePa = airPressurePa(heightM);
  const size = Math.round((toC - fromC) / stepC) + 1;
  const wall = new Float64Array(size);
  const vapour = new Float64Array(size);
  const roomPa = moisture * saturationPa(Math.max(0, roomC));
  const scale = vapourDrive(70, roomPa, pressurePa);
  for (let place = 0; place < size; place++) {
    const tempC = fromC + place * stepC;
    const overK = tempC - roomC;
    wall[place] = Math.sign(overK) * (Math.abs(overK) / 50) ** wallPower;
    vapour[place] = vapourDrive(tempC, roomPa, pressurePa) / scale;
  }
  return { fromC, stepC, wall, vapour, roomC, boilsC: milkBoilsC(heightM) };
}

/** Reads a table between its values; beyond its ends the end's value. */
export function lossAt(law: HeatLaw, table: Float64Array, tempC: number): number {
  const place = (tempC - law.fromC) / law.stepC;
  if (!(place > 0)) return table[0] as number;
  const low = Math.floor(place);
  if (low >= table.length - 1) return table[table.length - 1] as number;
  const value = table[low] as number;
  return value + (place - low) * ((table[low + 1] as number) - value);
}

/** Vapour that leaves a free surface: Stefan's flow, which grows without bound towards the boil. */
function vapourDrive(tempC: number, roomPa: number, pressurePa: number): number {
  const surfacePa = Math.min(vapourShareMax * pressurePa, saturationPa(Math.max(0, tempC)));
  if (surfacePa <= roomPa) return 0;
  return Math.log((pressurePa - roomPa) / (pressurePa - surfacePa)) ** vapourPower;
}

/** Takes over `at` (temperature in °C, flow in °C a minute) and moves it on by `spanMin`, never past the boil. */
export function heatOn(
  law: HeatLaw,
  rates: HeatRates,
  at: { tempC: number; flow: number },
  spanMin: number,
): void {
  const { burner, lagMin } = rates;
  const gain = (tempC: number, flow: number) =>
    flow - rates.wall * lossAt(law, law.wall, tempC) - rates.vapour * lossAt(law, law.vapour, tempC);
  const half = burner + (at.flow - burner) * Math.exp(-spanMin / (2 * lagMin));
  const middleC = at.tempC + (spanMin / 2) * gain(at.tempC, at.flow);
  at.tempC = Math.min(law.boilsC, at.tempC + spanMin * gain(Math.min(law.boilsC, middleC), half));
  at.flow = burner + (at.flow - burner) * Math.exp(-spanMin / lagMin);
}
