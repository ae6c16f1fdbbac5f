/** A room whose air swings over the day. `warmestHourUtc` is from 0 to 24. */
export type RoomBuild = { meanC: number; swingC: number; warmestHourUtc: number };

const dayMs = 86_400_000;

/** Returns a room's temperature in °C at an instant: a daily wave of `swingC` to either side of the mean. */
export function roomC(room: RoomBuild, atMs: number): number {
  const part = (atMs - room.warmestHourUtc * 3_600_000) / dayMs;
  return room.meanC + room.swingC * Math.cos(2 * Math.PI * part);
}
