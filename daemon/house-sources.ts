/** The wires of a house file as sources, each kind by name, and the house's voice on its brokers. Wiring. */

import type { MqttSettings } from '../probes/mqtt/mqtt-settings.ts';
import { createMqttSource } from '../probes/mqtt/mqtt-source.ts';
import { createOnewireSource } from '../probes/onewire/onewire-source.ts';
import { createSerialSource } from '../probes/serial/serial-source.ts';
import type { Source } from '../probes/source.ts';
import { openOutsidePublisher } from './broker/outside-publisher.ts';
import type { Publisher } from './broker/publisher.ts';
import type { House, HouseSource } from './config/house-file.ts';
import { readAuthority, readSecret } from './config/secret.ts';

type MqttWire = Extract<HouseSource, { kind: 'mqtt' }>;

/** What all wires of one house share. */
export type WireHouse = {
  house: House;
  /** The house's id, as it stands in topics. */
  id: string;
  /** The folder that relative paths of the house file count from. */
  folder: string;
};

/** Makes the sources of a house; none listens yet. Rejects where a secret or certificate cannot be read. */
export async function sourcesOf(wires: WireHouse): Promise<Source[]> {
  return Promise.all(wires.house.sources.map((source) => sourceOf(source, wires)));
}

async function sourceOf(source: HouseSource, wires: WireHouse): Promise<Source> {
  switch (source.kind) {
    case 'serial':
      return createSerialSource(source);
    case 'onewire':
      return createOnewireSource(source);
    case 'mqtt':
      return createMqttSource(await brokerSettings(source, wires));
    default:
      return source satisfies never;
  }
}

/** Opens what speaks for the house on its outside brokers; each goes on trying to reach its own. */
export async function publishersOf(wires: WireHouse, log: (line: string) => void): Promise<Publisher[]> {
  const outside = wires.house.sources.filter((source) => source.kind === 'mqtt');
  const settings = await Promise.all(outside.map((source) => brokerSettings(source, wires)));
  return settings.map((each) =>
    openOutsidePublisher({
      ...each,
      clientId: `${each.clientId}-out`,
      onTrouble: (error) => log(`${each.id}: ${String(error)}`),
    }),
  );
}

/**
 * How to reach an outside broker, with its secret read. The client's id names the session that the broker
 * keeps. Rejects with the fault where a secret or certificate cannot be read.
 */
export async function brokerSettings(source: MqttWire, wires: WireHouse): Promise<MqttSettings> {
  const { id: house, folder } = wires;
  const { id, url, user, passwordFile, passwordEnv, caFile } = source;
  const read = await readSecret({ sourceId: id, passwordFile, passwordEnv, folder });
  if (!read.ok) throw new Error(read.message);
  const authority = await readAuthority({ owner: `source ${id}`, caFile, folder });
  if (!authority.ok) throw new Error(authority.message);
  return {
    id,
    url,
    protocolVersion: source.version === 5 ? 5 : 4,
    house,
    clientId: `springhouse-${house}-${id}`,
    mappings: source.topics,
    ...(user === null ? {} : { username: user }),
    ...(read.secret === null ? {} : { password: read.secret }),
    ...(authority.pem === null ? {} : { ca: authority.pem }),
  };
}
