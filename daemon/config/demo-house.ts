/** Larkfell, the invented house of `run --demo`, read by the same parser as a real house file. */

import type { House } from './house-file.ts';
import { parseHouse } from './parse-house.ts';

/** The demo's house file. Its broker takes any free port: the simulated probes are told which. */
export const demoHouseText = `version: 1

house:
  name: Larkfell
  height: 1420 m
  zone: America/Denver
  units: F

chill:
  limit: 40 F
  within: 60m
  guard: true

places:
  - { id: chest-freezer, name: Chest freezer, kind: freezer, around: chest-freezer, temp: 0 F }
  - { id: larder-fridge, name: Larder fridge, kind: fridge, around: larder-fridge, temp: 37 F }
  - { id: ice-tub, name: Ice tub, kind: ice-bath, temp: 32 F }
  - { id: kitchen, name: Kitchen, kind: room, around: kitchen, temp: 66 F }
  - { id: stove, name: Stove, kind: pot }

vessels:
  - { id: quart-jar, name: Quart jar, kind: jar, material: glass, volume: 0.95 L }
  - { id: copper-pot, name: Copper pot, kind: pot, material: copper, volume: 8 L }

probes:
  - { id: jar-1, name: Bramble and Sorrel, place: ice-tub, vessel: quart-jar, uncertainty: 0.3 C }
  - { id: jar-2, name: Teasel and Plum, place: chest-freezer, vessel: quart-jar, uncertainty: 0.3 C }
  - { id: larder-fridge, name: Larder fridge, place: larder-fridge, uncertainty: 0.5 C }
  - { id: chest-freezer, name: Chest freezer, place: chest-freezer, uncertainty: 0.5 C }
  - { id: kitchen, name: Kitchen, place: kitchen, uncertainty: 0.5 C }
  - { id: copper-pot, name: Copper pot, place: stove, vessel: copper-pot, uncertainty: 0.3 C }

broker:
  host: 127.0.0.1
  port: 0
`;

/** Larkfell as the daemon knows it. It throws where the text above is at fault, which is a bug. */
export function demoHouse(): House {
  const parsed = parseHouse(demoHouseText, 'larkfell.yaml');
  if (parsed.ok) return parsed.house;
  throw new Error(parsed.faults.map(({ message }) => message).join('\n'));
}
