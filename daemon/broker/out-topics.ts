import type { AnyWatchView, Notice, ProbeView } from '../../shared/contract/api.ts';

/** A message that the house says over MQTT; an empty payload on a retained topic makes a broker forget it. */
export type OutMessage = { topic: string; payload: string; retain: boolean; qos: 0 | 1 };

/** Returns how a probe stands, on `springhouse/<house>/state/<probe>`: kept for newcomers, the newest counts. */
export function stateMessage(house: string, probe: ProbeView): OutMessage {
  return {
    topic: `springhouse/${house}/state/${probe.id}`,
    payload: JSON.stringify(probe),
    retain: true,
    qos: 0,
  };
}

/**
 * Returns how a watch stands, on `springhouse/<house>/watch/<id>`: kept for newcomers, the newest counts. An
 * ended watch has an empty payload, so that no broker keeps every watch there ever was.
 */
export function watchMessage(house: string, watch: AnyWatchView): OutMessage {
  return {
    topic: `springhouse/${house}/watch/${watch.id}`,
    payload: watch.state === 'ended' ? '' : JSON.stringify(watch),
    retain: true,
    qos: 1,
  };
}

/** Returns a notice, on `springhouse/<house>/notice`: said once, not kept for newcomers. */
export function noticeMessage(house: string, notice: Notice): OutMessage {
  return { topic: `springhouse/${house}/notice`, payload: JSON.stringify(notice), retain: false, qos: 1 };
}

/** Returns whether the house is alive, on `springhouse/<house>/alive`: `1` or `0`, kept for newcomers. */
export function aliveMessage(house: string, isAlive: boolean): OutMessage {
  return { topic: `springhouse/${house}/alive`, payload: isAlive ? '1' : '0', retain: true, qos: 1 };
}
