/** An alarm of its own for a disk that refuses: past the record while it does, and into it once it takes writes. Wiring. */
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import type { Troubles } from './troubles.ts';
import type { Writer } from './writer.ts';

export type DiskAlarmOptions = {
  troubles: Pick<Troubles, 'of'>;
  nowMs: () => number;
  /** Tells people by every way, without the disk. */
  tellUnrecorded: (notices: readonly Happening[]) => void;
  writer: Pick<Writer, 'appendOutcome'>;
  /** Hears of the events once they are kept. */
  onRecorded: (events: RecordEvent[]) => void;
  /** How long the disk must refuse before it is told, and how often it is looked at. */
  afterMs?: number;
  everyMs?: number;
};

/** A card that stumbles and goes on is no reason to wake anybody. */
const afterMsUsual = 5_000;
const everyMsUsual = 1_000;

/** Begins to look; says once that the disk refuses, and once that it takes writes again. */
export function openDiskAlarm(options: DiskAlarmOptions): { close(): void } {
  const { troubles, nowMs, afterMs = afterMsUsual, everyMs = everyMsUsual } = options;
  let sinceMs: number | null = null;
  let refuses: Happening | null = null;

  function look(): void {
    const why = troubles.of('history') ?? troubles.of('record');
    if (why !== null) {
      sinceMs ??= nowMs();
      if (refuses !== null || nowMs() - sinceMs < afterMs) return;
      refuses = refusesEvent({ why, sinceMs, atMs: nowMs() });
      options.tellUnrecorded([refuses]);
      return;
    }
    if (refuses !== null && sinceMs !== null) void keep(refuses, sinceMs);
    sinceMs = null;
    refuses = null;
  }

  /** Where the disk refuses once more, the next look finds it. */
  async function keep(told: Happening, fromMs: number): Promise<void> {
    const happenings = [told, takesEvent(fromMs, nowMs())];
    const outcome = { happenings, snapshots: [], nowMs: nowMs() };
    const kept = await options.writer.appendOutcome(outcome).catch(() => []);
    if (kept.length > 0) options.onRecorded(kept);
  }

  const timer = setInterval(look, everyMs);
  return { close: () => clearInterval(timer) };
}

const head = { by: { kind: 'daemon', id: 'disk' }, about: {}, because: [] } as const;

function refusesEvent({ why, sinceMs, atMs }: { why: string; sinceMs: number; atMs: number }): Happening {
  const body = { weight: 'alarm', watch: null, why: firstSentence(why), sinceMs } as const;
  return { ...head, because: [], kind: 'disk-refuses', id: `house/disk-refuses/${sinceMs}`, atMs, body };
}

function takesEvent(sinceMs: number, atMs: number): Happening {
  const body = { weight: 'tell', watch: null, refusedMs: Math.max(0, atMs - sinceMs) } as const;
  return { ...head, because: [], kind: 'disk-takes', id: `house/disk-takes/${sinceMs}`, atMs, body };
}

/** A fault's first sentence without its code; what to do about it is said in the notice's own words. */
function firstSentence(why: string): string {
  return (why.replace(/^[A-Z_]+: /, '').split(/\. /)[0] ?? why).replace(/\.$/, '').slice(0, whyMax);
}

/** Characters of a fault that a notice shows; the rest is in the log. */
const whyMax = 200;
