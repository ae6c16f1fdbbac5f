/** Readings from a serial line: a SenML pack or `id value` a line, unplugged and replugged at will. */
import { SerialPort } from 'serialport';
import { createLossyTakes, type LossyTakes } from '../lossy-takes.ts';
import { againIn, createRetry, type RetryWaits, usualWaits } from '../retry.ts';
import type { Source, SourceSink } from '../source.ts';
import { shown } from '../wire/decoded.ts';
import { createLineSplitter } from '../wire/lines.ts';
import { decodeLine } from './line-reading.ts';
import { watchPresence } from './presence.ts';

/** The slowest and fastest rates that a line may be set to, in baud. */
export const baudRateMin = 300;
export const baudRateMax = 921_600;

/**
 * A first byte that comes sooner than this after opening may lie within a line, so what stands before the
 * first line end is then not trusted to be whole; a sender that was silent this long begins a line.
 */
export const usualQuietMs = 100;

/** How long closing waits for the driver to let the line go. */
const closeWaitMs = 500;

/** A serial line and how to listen to it. */
export type SerialSettings = {
  /** The source's id. */
  id: string;
  /** The device, best by a name that stays the same (`/dev/serial/by-id/…`). */
  path: string;
  baudRate: number;
  /** `usualWaits` where absent. */
  waits?: RetryWaits;
  /** `usualQuietMs` where absent; 0 trusts every first line. */
  quietMs?: number;
};

/**
 * Returns the source of a serial line. A device that is missing or unplugged is told as `waiting` and
 * tried again after growing waits. Nothing is acknowledged: what is not committed when the line or the
 * house fails is lost. `open` rejects only on settings that can never work.
 */
export function createSerialSource(settings: SerialSettings): Source {
  const { id, path, baudRate } = settings;
  const retry = createRetry(settings.waits ?? usualWaits);
  let port: SerialPort | null = null;
  let told: SourceSink | null = null;
  let isClosed = false;

  /** Each try has a port of its own: one that failed or was unplugged does not open again. */
  function attempt(sink: SourceSink, takes: LossyTakes, onSettled: () => void): void {
    const trying = new SerialPort({ path, baudRate, autoOpen: false });
    port = trying;
    let stopWatching = () => {};
    function again(why: string): void {
      if (isClosed || port !== trying) return;
      port = null;
      const waitMs = retry.later(() => attempt(sink, takes, onSettled));
      sink.tell(id, { state: 'waiting', why: `${path}: ${why}; ${againIn(waitMs)}` });
      onSettled();
    }
    trying.on('error', (fault) => {
      again(fault.message);
      letGo(trying);
    });
    trying.on('close', () => {
      stopWatching();
      again('unplugged');
    });
    trying.open((fault) => {
      if (fault !== null) return again(fault.message);
      if (isClosed) {
        letGo(trying);
        onSettled();
        return;
      }
      stopWatching = watchPresence(path, () => letGo(trying));
      listen(trying, settings, takes);
      retry.reset();
      sink.tell(id, { state: 'open', why: `${path} at ${baudRate} baud` });
      onSettled();
    });
  }

  return {
    id,
    async open(sink) {
      const faults = faultsOf(settings);
      if (faults.length > 0) throw new Error(faults.join('\n'));
      told = sink;
      const takes = createLossyTakes(id, sink);
      await new Promise<void>((resolve) => attempt(sink, takes, resolve));
    },
    async close() {
      isClosed = true;
      retry.stop();
      if (port?.isOpen === true) await closed(port);
      told?.tell(id, { state: 'closed', why: 'closed' });
    },
  };
}

/** Hands the lines of an open port to the sink, from its first byte on. */
function listen(port: SerialPort, { id, quietMs = usualQuietMs }: SerialSettings, takes: LossyTakes): void {
  const splitter = createLineSplitter();
  const openedMs = performance.now();
  let joinedLate: boolean | null = null;
  port.on('data', (bytes: Buffer) => {
    joinedLate ??= performance.now() - openedMs < quietMs;
    for (const line of splitter.push(bytes)) takes.offer(decodeLine(line, id, joinedLate));
  });
}

function letGo(port: SerialPort): void {
  if (port.isOpen) port.close(() => {});
}

/** Resolves once the port is let go; a driver that does not answer is left behind after `closeWaitMs`. */
function closed(port: SerialPort): Promise<void> {
  port.removeAllListeners('data');
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, closeWaitMs);
    port.close(() => {
      clearTimeout(timer);
      resolve();
    });
  });
}

function faultsOf({ id, path, baudRate }: SerialSettings): string[] {
  const faults: string[] = [];
  const form = (thing: string, rule: string, value: unknown, advice: string) =>
    `SOURCE_SETTING: ${thing} of source ${shown(id)} must be ${rule}, got ${shown(value)}. ${advice}`;
  if (path === '') faults.push(form('path', 'the path of a device', path, 'Give /dev/ttyUSB0 or the like.'));
  if (!Number.isInteger(baudRate) || baudRate < baudRateMin || baudRate > baudRateMax) {
    const rule = `a whole number from ${baudRateMin} to ${baudRateMax}`;
    faults.push(form('baudRate', rule, baudRate, "Give the rate printed in the sensor's manual."));
  }
  return faults;
}
