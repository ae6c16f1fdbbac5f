import type { House } from './config/house-file.ts';
import type { WatchRules } from './watch/rules.ts';

/** What the house file says, as the watching needs it. */
export function rulesOfHouse(house: House): WatchRules {
  const vessels = new Map(house.vessels.map((vessel) => [vessel.id, vessel]));
  return {
    chill: { limitC: house.chill.limitC, spanMs: house.chill.spanMs, guarded: house.chill.guard },
    places: Object.fromEntries(house.places.map(({ id, kind, tempC }) => [id, { kind, aroundC: tempC }])),
    probes: Object.fromEntries(
      house.probes.map((probe) => {
        const vessel = probe.vessel === null ? undefined : vessels.get(probe.vessel);
        const measured = house.places.find(({ around }) => around === probe.id);
        return [
          probe.id,
          {
            place: probe.place,
            volumeL: vessel?.volumeL ?? null,
            material: vessel?.material ?? null,
            uncertaintyC: probe.uncertaintyC,
            measures: measured?.id ?? null,
          },
        ];
      }),
    ),
    region: house.chill.region,
    atHand: house.rescue,
    heightM: house.house.heightM,
    startsByItself: true,
  };
}
