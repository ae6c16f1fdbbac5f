/** How the house speaks up: the ways of its file, opened by name, who is told, and the letters in words. Wiring. */
import type { Letter, WayView } from '../shared/contract/notify.ts';
import { letterText } from '../shared/sentences/letter-words.ts';
import type { Speech } from '../shared/sentences/speech.ts';
import type { Publisher } from './broker/publisher.ts';
import type { House, HouseWay } from './config/house-file.ts';
import { pageWayId } from './config/house-ways.ts';
import { readAuthority, readWaySecret } from './config/secret.ts';
import { brokerSettings } from './house-sources.ts';
import type { MannersRules, Receiver } from './notify/manners/rules.ts';
import type { OutboxLetter } from './notify/outbox-letters.ts';
import type { Way } from './notify/way.ts';
import { openCommandWay } from './notify/ways/command-way.ts';
import { openEmailWay } from './notify/ways/email-way.ts';
import { openMqttWay } from './notify/ways/mqtt-way.ts';
import { openOwnBrokerWay } from './notify/ways/own-broker-way.ts';
import { signingKey } from './notify/ways/webhook-signature.ts';
import { openWebhookWay } from './notify/ways/webhook-way.ts';

/** What all ways of one house share. */
export type WaysHouse = {
  house: House;
  id: string;
  /** The folder that relative paths of the house file count from. */
  folder: string;
  nowMs: () => number;
  /** The broker of this house; null where it has none. */
  broker: Pick<Publisher, 'publish'> | null;
};

/** Who is told, and when not: one person with all ways where the file names nobody. */
export function mannersOfHouse({
  house: { units, zone },
  chill: { region },
  ways,
  people,
}: House): MannersRules {
  // The page first: it costs nothing, and where none is open the next way has the letter at once.
  const all = [pageWayId, ...ways.map(({ id }) => id)];
  const usual: Receiver = {
    id: 'house',
    name: 'Everybody',
    language: 'en',
    units,
    zone,
    ways: all,
    from: 'tell',
    afterMs: 0,
    quiet: null,
    digestMin: null,
  };
  if (people.length === 0) return { receivers: [usual], region };
  const receivers = people.map(
    (person): Receiver => ({
      ...person,
      units: person.units ?? units,
      zone: person.zone ?? zone,
      ways: person.ways ?? all,
      quiet: person.quiet === null ? null : { ...person.quiet, wake: wakeOf(person.quiet.wake) },
    }),
  );
  return { receivers, region };
}

function wakeOf(wake: 'alarm' | 'warn' | 'nothing'): 'alarm' | 'warn' | null {
  return wake === 'nothing' ? null : wake;
}

/** Opens the ways of the house file. Rejects where a secret cannot be had, with none left open. */
export async function openWays(house: WaysHouse): Promise<Way[]> {
  const opened: Way[] = [];
  try {
    for (const way of house.house.ways) opened.push(await openWay(way, house));
    return opened;
  } catch (error) {
    await Promise.all(opened.map((way) => way.close()));
    throw error;
  }
}

async function openWay(way: HouseWay, house: WaysHouse): Promise<Way> {
  switch (way.kind) {
    case 'webhook': {
      const { id, url } = way;
      const key = await keyOf({ owner: `way ${id}`, file: way.secretFile, env: way.secretEnv }, house.folder);
      return openWebhookWay({ id, url, key, nowMs: house.nowMs });
    }
    case 'command':
      return openCommandWay(way);
    case 'email':
      return openEmailWay({ ...way, ...(await mailSecrets(way, house.folder)) });
    case 'mqtt':
      return openBrokerWay(way, house);
    default:
      return way satisfies never;
  }
}

async function mailSecrets(
  way: Extract<HouseWay, { kind: 'email' }>,
  folder: string,
): Promise<{ password: string | null; ca: string | null }> {
  const owner = `way ${way.id}`;
  const { passwordFile: file, passwordEnv: env, caFile } = way;
  const read = await readWaySecret({ owner, secret: 'password', file, env, folder });
  if (!read.ok) throw new Error(read.message);
  const authority = await readAuthority({ owner, caFile, folder });
  if (!authority.ok) throw new Error(authority.message);
  return { password: read.secret, ca: authority.pem };
}

async function openBrokerWay(way: Extract<HouseWay, { kind: 'mqtt' }>, house: WaysHouse): Promise<Way> {
  const topic = way.topic ?? `springhouse/${house.id}/letter/${way.id}`;
  const source = house.house.sources.find(({ id }) => id === way.source);
  if (source?.kind === 'mqtt') {
    const login = await brokerSettings(source, house);
    const leadsTo = `${topic} at ${new URL(source.url).host}`;
    return openMqttWay({ id: way.id, house: house.id, topic, login, leadsTo });
  }
  if (house.broker !== null && source === undefined) {
    return openOwnBrokerWay({ id: way.id, topic, broker: house.broker });
  }
  throw new Error(
    `HOUSE_REFERENCE: source of way ${way.id} must be a broker, got ${way.source}. Give the id of a source of kind mqtt, or broker.`,
  );
}

/** The key that outgoing calls are signed with; null where the file names none. Rejects with the fault. */
export async function keyOf(
  { owner, file, env }: { owner: string; file: string | null; env: string | null },
  folder: string,
): Promise<Buffer | null> {
  const read = await readWaySecret({ owner, secret: 'secret', file, env, folder });
  if (!read.ok) throw new Error(read.message);
  if (read.secret === null) return null;
  const key = signingKey(read.secret);
  if (key !== null) return key;
  throw new Error(
    `HOUSE_SECRET: the secret of ${owner} must be of 24 to 64 bytes, as text or as whsec_ and base64, got another length. Make one with: openssl rand -base64 32`,
  );
}

/** How the letters of a house are written: each in its receiver's words, units and zone. */
export function letterWriter(
  o: { house: House; id: string; simulated: boolean; speech: Speech },
  recorded = true,
): (letter: OutboxLetter) => Letter {
  const receivers = new Map(mannersOfHouse(o.house).receivers.map((receiver) => [receiver.id, receiver]));
  return (letter) => {
    const receiver = receivers.get(letter.receiver);
    const own =
      receiver === undefined
        ? {}
        : { language: receiver.language, units: receiver.units, zone: receiver.zone };
    return writeLetter(letter, { ...o, speech: { ...o.speech, ...own }, recorded });
  };
}

/** Writes one letter. */
export function writeLetter(
  letter: Omit<OutboxLetter, 'letterSeq' | 'seqs'>,
  o: { house: House; id: string; simulated: boolean; speech: Speech; recorded: boolean },
): Letter {
  const { why, events, more } = letter;
  const parts = {
    why,
    events,
    more,
    houseName: o.house.house.name,
    simulated: o.simulated,
    recorded: o.recorded,
  };
  const [only] = events;
  const event = events.length === 1 && only !== undefined && why !== 'digest' ? only : null;
  const watch = event !== null && 'watch' in event.body ? event.body.watch : null;
  return {
    v: 1,
    id: letter.id,
    house: o.id,
    houseName: o.house.house.name,
    simulated: o.simulated,
    recorded: o.recorded,
    receiver: letter.receiver,
    why,
    weight: letter.weight,
    madeAtMs: letter.madeAtMs,
    matter: letter.matter,
    code: event?.kind ?? null,
    watch,
    probe: event?.about.probe?.[0] ?? null,
    ...letterText(parts, o.speech),
    event,
  };
}

/** Who is told by a way. */
export function receiversOf(way: string, { receivers }: MannersRules): string[] {
  return receivers.filter(({ ways }) => ways.includes(way)).map(({ id }) => id);
}

/** How a way is shown. */
export function wayViewOf(
  way: Pick<Way, 'id' | 'kind' | 'leadsTo'>,
  state: Pick<WayView, 'provedAtMs' | 'failingSinceMs' | 'fault' | 'waiting'>,
  rules: MannersRules,
): WayView {
  const { provedAtMs, failingSinceMs, fault, waiting } = state;
  const { id, kind, leadsTo } = way;
  return {
    v: 1,
    id,
    kind,
    leadsTo,
    receivers: receiversOf(id, rules),
    provedAtMs,
    failingSinceMs,
    fault,
    waiting,
  };
}
