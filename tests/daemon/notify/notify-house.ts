/** A whole house that speaks up, for tests: a doomed jar on a real wire, ways as the test wants them. */
import { connect } from 'mqtt';
import type { Springhouse, SpringhouseOptions } from '../../../daemon/compose.ts';
import { senmlOf } from '../../../probes/simulated/senml-pack.ts';
import { houseOf, openTestHouse, testHouseText } from '../open-test-house.ts';
import { milkTrace } from '../watch/trace.ts';

/** Opens a house whose file has these lines more. */
export function openNotifyHouse(
  dataDir: string,
  lines: string,
  more: Partial<SpringhouseOptions> = {},
): Promise<Springhouse> {
  return openTestHouse(dataDir, { house: houseOf(testHouseText + lines), ...more });
}

/** Between two packs of a probe that does not wait for acknowledgements; each is a forecast of its own. */
const packEveryMs = 40;

/** Sends the readings of a jar that will miss its hour: milk at the start of minute 4, slow cold from then to 30 s ago. */
export async function sendDoomedJar(
  house: Springhouse,
  { minutes = 20, waits = true }: { minutes?: number; waits?: boolean } = {},
): Promise<void> {
  const trace = milkTrace({ beforeMin: 4, aroundC: -2, tauMin: 60, minutes, everyMs: 4_000 });
  const shiftMs = Date.now() - 30_000 - (trace.at(-1)?.atMs ?? 0);
  const readings = trace.map(({ atMs, tempC }) => ({ probe: 'jar', atMs: atMs + shiftMs, tempC }));
  // One that is cut off comes again, as a probe does, and sends again what was not acknowledged.
  const client = connect(house.brokerUrl as string, { reconnectPeriod: 50 });
  await new Promise((resolve) => client.once('connect', resolve));
  const published: Promise<unknown>[] = [];
  for (let from = 0; from < readings.length; from += 25) {
    const pack = senmlOf(readings.slice(from, from + 25));
    published.push(client.publishAsync(`springhouse/${house.id}/reading/jar`, pack, { qos: waits ? 1 : 0 }));
    await (waits ? published.at(-1) : new Promise((resolve) => setTimeout(resolve, packEveryMs)));
  }
  await Promise.all(published);
  await client.endAsync();
}
