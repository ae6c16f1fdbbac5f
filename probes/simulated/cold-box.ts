import { type Body, conduction, type Link, plainBody, reservoir, tempC } from './heat-network.ts';

/** A fridge or freezer: air with its lining, a load that steadies it, and a compressor that goes on and off. */
export type ColdBox = {
  air: Body;
  load: Body;
  links: Link[];
  /** Lets the thermostat look, and sets the door; call it once before each span. */
  look(doorOpen: boolean): void;
  isRunning(): boolean;
};

export type ColdBoxBuild = {
  /** Air, lining and shelves. */
  airJPerK: number;
  loadJPerK: number;
  /** Between air and load. */
  loadWPerK: number;
  /** Through the insulation. */
  wallWPerK: number;
  /** With the door open. */
  doorWPerK: number;
  /** What the running compressor takes out of the air. */
  coolingW: number;
  /** The compressor starts at or above this temperature of the air … */
  startsAtC: number;
  /** … and stops at or below this one. */
  stopsAtC: number;
};

/** A larder fridge with 10 kg of food. Sizes are common practice, no source. */
export const larderFridge: ColdBoxBuild = {
  airJPerK: 9_000,
  loadJPerK: 38_000,
  loadWPerK: 9,
  wallWPerK: 1.5,
  doorWPerK: 14,
  coolingW: 75,
  startsAtC: 5,
  stopsAtC: 2,
};

/** A chest freezer with 25 kg of frozen food; cold air stays in when its lid is open. Sizes are common practice, no source. */
export const chestFreezer: ColdBoxBuild = {
  airJPerK: 12_000,
  loadJPerK: 48_000,
  loadWPerK: 8,
  wallWPerK: 0.9,
  doorWPerK: 6,
  coolingW: 110,
  startsAtC: -18,
  stopsAtC: -21.5,
};

/** Sets a cold box up in a room, with air and load half-way between the thermostat's points. */
export function setUpColdBox(build: ColdBoxBuild, room: Body): ColdBox {
  const startC = (build.startsAtC + build.stopsAtC) / 2;
  const air = plainBody({ capacityJPerK: build.airJPerK, startC });
  const load = plainBody({ capacityJPerK: build.loadJPerK, startC });
  const condenser = reservoir(() => tempC(room));
  let running = true;
  let doorOpen = false;
  const leak = (roomC: number, airC: number) =>
    (build.wallWPerK + (doorOpen ? build.doorWPerK : 0)) * (roomC - airC);
  return {
    air,
    load,
    links: [
      { from: room, to: air, watts: leak },
      { from: load, to: air, watts: conduction(build.loadWPerK) },
      { from: air, to: condenser, watts: () => (running ? build.coolingW : 0) },
    ],
    look: (door) => {
      doorOpen = door;
      if (tempC(air) >= build.startsAtC) running = true;
      if (tempC(air) <= build.stopsAtC) running = false;
    },
    isRunning: () => running,
  };
}
