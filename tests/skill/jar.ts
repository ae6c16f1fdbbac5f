/** A jar of a population: what its probe said, and what was true. */
import type { Material, PlaceKind } from '../../shared/contract/ids.ts';

/** The limit and span that every jar is judged against: 40 °F in an hour. */
export const limitC = 40 / 9;
export const deadlineMin = 60;
/** Truth is followed this long; later counts as never, and never counts as this. */
export const truthMin = 240;
/** Readings are kept this long. */
export const readingsMin = 62;

/** Scenes of both populations. Ice and moving air can make the hour, the others as a rule cannot. */
export type Scene = 'ice' | 'moving air' | 'still freezer' | 'fridge' | 'cold water' | 'cellar';
export const scenePlaces: Readonly<Record<Scene, PlaceKind>> = {
  ice: 'ice-bath',
  'moving air': 'freezer',
  'still freezer': 'freezer',
  fridge: 'fridge',
  'cold water': 'cold-water',
  cellar: 'cellar',
};
export const isAble = (scene: Scene) => scene === 'ice' || scene === 'moving air';

export type SkillJar = {
  id: string;
  scene: Scene | null;
  place: PlaceKind | null;
  volumeL: number | null;
  material: Material | null;
  /** The probe went into the milk at instant 0. */
  readings: { atMs: number; tempC: number }[];
  /** When the milk at the probe truly crossed the limit, minutes; null for not within four hours. */
  crossedMin: number | null;
  moved: boolean;
  /** The true surroundings, °C, one value a minute; empty where nobody knows them. */
  aroundC: number[];
};

/** The truth of a population's jar each `truthStepS`, from which a probe reads. */
export const truthStepS = 2;
/** Milk at the probe and its surroundings, °C, one value each `truthStepS` from insertion on. */
export type Followed = { milkC: Float64Array; aroundC: Float64Array };
/** A jar's truth and what it was drawn from. */
export type JarTruth = Followed & {
  scene: Scene;
  volumeL: number;
  material: Material;
  roomC: number;
  moved: boolean;
};
