/** A scenario as it was read: what the house is told, what probes saw, what happened meanwhile, what must be said. */

import type { WatchRules } from '../../../daemon/watch/rules.ts';
import type { NoticeCode, Weight } from '../../../shared/contract/event.ts';
import type { Word } from '../../../shared/contract/word.ts';

/** Instants are ms since the scenario's first midnight by a good clock on the wall. */
export type Scenario = {
  /** The file's name, for faults and failures. */
  name: string;
  title: string;
  house: HouseTold;
  probes: ProbeSaw[];
  meanwhile: Meanwhile[];
  expected: Expected[];
  /** The line of "nothing else"; null where more may be said. */
  nothingElseLine: number | null;
};

export type HouseTold = { rules: WatchRules; units: 'F' | 'C'; seed: number };

/** One probe's section, ready to be drawn. */
export type ProbeSaw = {
  probe: string;
  line: number;
  shapes: Shape[];
  /** Spans in which nothing was sent. */
  silences: { fromMs: number; toMs: number }[];
  /** Spans whose readings were kept by the probe and sent at once, at `sentMs`. */
  heldBack: { fromMs: number; toMs: number; sentMs: number }[];
  /** Single readings that are wrong. */
  outliers: { atMs: number; tempC: number }[];
  stampedByHouse: boolean;
};

/** How a probe measures; it holds for the shapes that follow. */
export type Measuring = { everyMs: number; noiseC: number; stepC: number; lagMs: number };

/** What was around the tip of the probe from `fromMs` to `toMs`, °C. */
export type Shape = { fromMs: number; toMs: number; startC: number; measuring: Measuring } & (
  | { kind: 'level' }
  | { kind: 'ramp'; endC: number }
  | { kind: 'towards'; aroundC: number; halfMs: number }
  | { kind: 'swing'; lowC: number; highC: number; everyMs: number }
);

/** What happened beside the readings. `watch-end` is of the probe's open watch, whichever that is then. */
export type Meanwhile = { atMs: number; line: number } & (
  | { kind: 'word'; word: Exclude<Word, { kind: 'watch-end' }> }
  | { kind: 'stop-watching'; probe: string }
  | { kind: 'clock'; deltaMs: number }
  | { kind: 'away'; spanMs: number; clean: boolean }
);

/** What can be said: a notice by its code, any notice, or what a watch does. */
export type Saying = NoticeCode | 'notice' | 'watch begins' | 'watch ends';

/** One line of "must be said"; both ends of its time belong to it. */
export type Expected = {
  line: number;
  text: string;
  how: 'some' | 'once' | 'never';
  fromMs: number;
  toMs: number;
  saying: Saying;
  /** Null for any weight; `warning` is warn or alarm. */
  weight: Weight | 'warning' | null;
  clauses: Clause[];
};

/** A span of time around an instant. */
export type Near = { atMs: number; withinMs: number };

export type Clause =
  | { kind: 'since' | 'near'; near: Near }
  | { kind: 'because'; reason: string }
  | { kind: 'of'; probe: string }
  | { kind: 'words'; text: string };
