/**
 * The port between the wires and the house. Serial lines, brokers and the kernel's sensors all stand
 * behind it, and one contract suite (tests/contract/source-contract.ts) runs on every kind and on the fake.
 */

/** One reading as decoded from a wire, °C as read. */
export type WireReading = {
  /** The probe's id as the house knows it. */
  probe: string;
  tempC: number;
  /** The instant the source gave, in epoch ms; null where the receipt counts. */
  atMs: number | null;
  /** True where a message without a stamp was, or may have been, delivered late: its instant is not known. */
  undated: boolean;
};

/** What was on a wire but is no reading; counted and shown, never silent. */
export type Refusal = {
  source: string;
  /** The probe, where it could still be told. */
  probe: string | null;
  code: RefusalCode;
  /** The thing, the rule it broke and the value, for a person. */
  message: string;
};

export type RefusalCode =
  | 'WIRE_LONG'
  | 'WIRE_GARBLED'
  | 'WIRE_UNIT'
  | 'WIRE_RANGE'
  | 'WIRE_PROBE'
  | 'WIRE_RETAINED'
  | 'WIRE_SURPLUS'
  | 'SENSOR_CRC'
  | 'SENSOR_FAULT';

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
