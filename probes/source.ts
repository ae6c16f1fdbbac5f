/**
 * The port between the wires and the house. Serial lines, brokers and the kernel's sensors all stand
 * behind it, and one contract suite (tests/contract/source-contract.ts) runs on every kind and on the fake.
 */

/** One reading as decoded from a wire, °C as read. */
export type WireReading = {
  /** The probe's id as the house knows it. */
  probe: string;
  tempC: number;
  /** The instant the source gave, in whole epoch ms; null where the receipt counts. */
  atMs: number | null;
  /**
   * Only where `atMs` is null: how long before the receipt the source says it read, in whole ms from 0 up
   * (a relative time of SenML). The receipt less this span is the reading's instant. Absent means 0.
   */
  ageMs?: number;
  /** True where a message without a stamp was, or may have been, delivered late: its instant is not known. */
  undated: boolean;
};

/** What was on a wire but is no reading; counted and shown, never silent. */
export type Refusal = {
  source: string;
  /** The probe, where it could still be told. */
  probe: string | null;
  code: RefusalCode;
  /** The thing, the rule it broke, the value and what to do, for a person; without the code in front. */
  message: string;
};

export type RefusalCode =
  /** Longer than the wire's limit for a line, a message or a pack. */
  | 'WIRE_LONG'
  /** Not text, not JSON, not SenML, or not `id value`. */
  | 'WIRE_GARBLED'
  /** Not a temperature in a unit that this wire may carry. */
  | 'WIRE_UNIT'
  /** Not a number that a probe of this house can show. */
  | 'WIRE_RANGE'
  /** An instant that no reading can have. */
  | 'WIRE_TIME'
  /** No probe, no plain id, or two that disagree. */
  | 'WIRE_PROBE'
  /** Kept by a broker for newcomers, without a stamp that would tell how old it is. */
  | 'WIRE_RETAINED'
  /** More than the house could take, from a sender that cannot send again. */
  | 'WIRE_SURPLUS'
  /** Stamped ahead of the known time; the intake tells this, since wires know no time. */
  | 'WIRE_AHEAD'
  /** The sensor's own checksum does not fit its bytes. */
  | 'SENSOR_CRC'
  /** A value that tells of the sensor's state, not of a temperature. */
  | 'SENSOR_FAULT'
  /** From a client of the network without the key of a probe. */
  | 'BROKER_KEY'
  /** On a topic, or about a probe, that is not the sender's own. */
  | 'BROKER_TOPIC';

/** A message's readings and refusals, offered in one go. */
export type Offer = {
  source: string;
  readings: readonly WireReading[];
  refusals: readonly Refusal[];
  /**
   * True where the sender keeps the message until it is acknowledged and can send it again. Only then is
   * an offer slowed rather than refused when the house is full.
   */
  canResend: boolean;
};

export type SourceState = { state: 'open' | 'waiting' | 'closed'; why: string };

/** What a source may call; all calls return at once. */
export type SourceSink = {
  /**
   * Takes a message. The promise resolves once every reading in it is committed, or refused and counted;
   * it rejects where the commit failed: then the source must not acknowledge. It never blocks the caller,
   * so a source bounds for itself how many it leaves open (`…Max`).
   */
  take(offer: Offer): Promise<void>;
  /** Says how the wire is; the last one counts and is shown. */
  tell(source: string, state: SourceState): void;
};

/**
 * A wire. `open` resolves when listening has begun or will go on being tried (an unplugged line is no
 * error: it is told as `waiting` and tried again); it rejects only on a bug or a setting that can never
 * work. `close` stops taking, leaves unacknowledged what is not committed, and resolves when the wire is
 * let go, within 1 s. Neither is called twice.
 */
export type Source = {
  readonly id: string;
  open(sink: SourceSink): Promise<void>;
  close(): Promise<void>;
};
