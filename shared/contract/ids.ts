import { z } from 'zod';

/** The name of a probe, place or vessel: a letter or digit, then letters, digits, `.`, `_` or `-`; 64 at most. */
export const plainIdPattern = /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/;

/** A plain id as people type it in the house file and microcontrollers send it on a wire. */
export const plainId = z.string().regex(plainIdPattern);

/** The id of a watch: `<kind>-<probe>-<inputSeq of the input that opened it>`. */
export const watchId = z.string().regex(/^(chill|heat|hold|keep)-[A-Za-z0-9][A-Za-z0-9._-]{0,63}-\d+$/);

/** An instant: whole milliseconds since 1970-01-01T00:00:00Z. */
export const instantMs = z.int();

/** What a place can be; two fridges are two places of one kind. */
export const placeKind = z.enum([
  'freezer',
  'fridge',
  'ice-bath',
  'cold-water',
  'room',
  'pot',
  'warm-box',
  'cellar',
]);
export type PlaceKind = z.infer<typeof placeKind>;

/** What a vessel is made of; it decides how fast heat passes its wall. */
export const material = z.enum(['glass', 'steel', 'plastic', 'copper', 'enamel']);
export type Material = z.infer<typeof material>;
