/** A bath of population 2: water at the jar and water at the ice, which change places. */

/** A bath that lets time pass and returns °C at the jar; its film is W/m²K at a difference to the jar in K. */
export type TwoPartBath = { film(overK: number): number; pass(heatW: number, stepS: number): number };

/** What a bath is drawn with: W/K between the parts and at the ice, J of ice, °C of the parts, film at 10 K unstirred. */
export type TwoPartBuild = {
  waterKg: number;
  isStirred: boolean;
  turnoverWPerK: number;
  meltWPerK: number;
  film: number;
  iceJ: number;
  nearC: number;
  farC: number;
};

/** Opens a bath in a room. */
export function openTwoPartBath(build: TwoPartBuild, roomC: number): TwoPartBath {
  const { film, isStirred, meltWPerK, turnoverWPerK, waterKg } = build;
  const nearJPerK = 0.35 * waterKg * 4190;
  const farJPerK = 0.65 * waterKg * 4190;
  let { farC, iceJ, nearC } = build;
  return {
    film: (overK) => (isStirred ? film : film * (Math.max(0.2, Math.abs(overK)) / 10) ** 0.27),
    pass: (heatW, stepS) => {
      const turnW = turnoverWPerK * (nearC - farC);
      const perK = iceJ > 0 ? meltWPerK * Math.min(1, iceJ / 150_000) : 0;
      const meltW = Math.max(0, perK * farC);
      iceJ = Math.max(0, iceJ - meltW * stepS);
      nearC += ((heatW - turnW + 1.5 * (roomC - nearC)) * stepS) / (nearJPerK + turnoverWPerK * stepS);
      farC += ((turnW - meltW + 1.5 * (roomC - farC)) * stepS) / (farJPerK + (turnoverWPerK + perK) * stepS);
      return nearC;
    },
  };
}
