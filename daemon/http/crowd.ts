/** How much one address of the network may ask, so that none keeps the others from asking. */

/** Requests that one address may make at once, and a second after that; one more is refused with `HTTP_FLOOD`. */
export const burstMax = 240;
export const requestsPerSecondMax = 40;

/** Addresses that are remembered; the oldest is forgotten. */
const addressesMax = 1_024;

export type Crowd = {
  /** Takes one request of an address; false where it asks too much. */
  mayAsk(address: string): boolean;
};

/** Opens the counts. */
export function openCrowd(steadyMs: () => number = () => performance.now()): Crowd {
  const asked = new Map<string, { left: number; atMs: number }>();
  return {
    mayAsk: (address) => {
      const nowMs = steadyMs();
      const before = asked.get(address) ?? { left: burstMax, atMs: nowMs };
      const left = Math.min(burstMax, before.left + ((nowMs - before.atMs) / 1000) * requestsPerSecondMax);
      asked.delete(address);
      asked.set(address, { left: Math.max(0, left - 1), atMs: nowMs });
      const [oldest] = asked.keys();
      if (asked.size > addressesMax && oldest !== undefined) asked.delete(oldest);
      return left >= 1;
    },
  };
}
