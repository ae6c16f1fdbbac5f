import type {
  AnyWatchView,
  Health,
  HistoryAnswer,
  HistorySnap,
  HouseView,
  LiveValue,
  Notice,
  ProbeView,
  RefusalView,
} from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import type { LateStretch } from '../../shared/contract/export.ts';
import type { ExportFormName } from '../../shared/contract/export-forms.ts';
import type { Material } from '../../shared/contract/ids.ts';
import type { PlanView } from '../../shared/contract/plan.ts';
import type { PostedWord, WordAnswer } from '../../shared/contract/word.ts';
import type { NotifyDesk } from './notify-routes.ts';

/** A span of one probe's history, to be cut into at most `points` buckets; `fromMs` is before `toMs`. */
export type HistoryAsk = { probe: string; fromMs: number; toMs: number; points: number; snap: HistorySnap };

/** A file of readings: its name, what it is, and its text piece by piece; leaving the text ends the work. */
export type ExportFile = { name: string; mediaType: string; text: AsyncIterable<string> };

/** What hears the house live. Both calls return at once and never throw. */
export type LiveListener = {
  /** Called once per event, in the order of `recordSeq`, after it is kept. */
  event(event: RecordEvent): void;
  /** Called with the newest view of a probe or watch whenever it changes. */
  value(value: LiveValue): void;
};

/**
 * Why a word was not taken: `unknown` names a thing that the house does not have, `refused` breaks a rule,
 * `unavailable` may be said again a little later.
 */
export type WordFault = { reason: 'unknown' | 'refused' | 'unavailable'; code: string; message: string };

/**
 * The port through which HTTP reaches the house; `compose.ts` supplies it. The calls that return at once
 * answer from memory. Those that return a promise may wait for a worker, and reject only where that worker
 * is gone: the asker then gets a 500 and the rejection goes to `onBug`. None is called after `close`.
 */
export type HouseDesk = {
  house(): HouseView;
  /** All probes of the house, heard or not. */
  probes(): ProbeView[];
  /** The newest readings and lines that were not taken, oldest first. */
  refusals(): RefusalView[];
  /** The open watches and those that ended not long ago. */
  watches(): AnyWatchView[];
  /** How long this milk would take in each place of the house. */
  plan(ask: { volumeL: number; material: Material | null; fromC: number }): PlanView;
  /** Buckets in order of time, and what is missing between them. Only asked for probes of the house. */
  history(ask: HistoryAsk): Promise<HistoryAnswer>;
  /** When the first and the last reading of a probe was; only asked for probes of the house. */
  keptSpan(probe: string): Promise<{ firstMs: number | null; lastMs: number | null }>;
  /** Where readings of a span came late; null where it holds too many to look through. */
  lateStretches(ask: { probe: string; fromMs: number; toMs: number }): Promise<LateStretch[] | null>;
  /** Every dated reading of a probe over a span as a file. */
  exportFile(ask: { probe: string; fromMs: number; toMs: number; form: ExportFormName }): ExportFile;
  /** At most `limit` notices, newest first; with `beforeSeq` only those of a smaller recordSeq. */
  notices(ask: { limit: number; beforeSeq?: number }): Promise<Notice[]>;
  /** At most `limit` notices of a span, newest first. */
  noticesBetween(ask: { fromMs: number; toMs: number; limit: number }): Promise<Notice[]>;
  /** At most `limit` events of a larger recordSeq than `afterSeq`, in order and without a gap. */
  events(ask: { afterSeq: number; limit: number }): Promise<RecordEvent[]>;
  /** Resolves once the word is kept; `by` is the person's id. */
  say(posted: PostedWord, by: string): Promise<WordAnswer | WordFault>;
  health(): Health;
  /** How the house speaks up. */
  notify: NotifyDesk;
  live: {
    /** Calls the listener from now on; the answer ends that, at once, and may be called twice. */
    subscribe(listener: LiveListener): () => void;
  };
};
