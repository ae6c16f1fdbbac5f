/** What is wrong with the house now, for its health and its log. */

export type Troubles = {
  /** Tells a trouble of one room, and with null that it is over. A new one is logged. */
  tell(room: string, error: Error | null): void;
  /** Tells likewise what is wrong outside of the house, where all can still be kept. */
  note(what: string, error: Error | null): void;
  /** Tells what was lost and does not come back while the house runs. */
  lost(message: string): void;
  /** What is wrong with one room now; null where nothing is. */
  of(room: string): string | null;
  /** True where something cannot be kept now. */
  readonly any: boolean;
  /** Everything that is or was wrong, losses first. */
  list(): string[];
};

/** Opens the list; `log` takes one line for each new trouble. */
export function openTroubles(log: (line: string) => void): Troubles {
  const losses: string[] = [];
  const byRoom = new Map<string, string>();
  const outside = new Map<string, string>();
  const teller = (known: Map<string, string>) => (what: string, error: Error | null) => {
    if (error === null) known.delete(what);
    else if (known.get(what) !== error.message) {
      known.set(what, error.message);
      log(`${what}: ${error.message}`);
    }
  };
  return {
    tell: teller(byRoom),
    note: teller(outside),
    lost: (message) => {
      losses.push(message);
      log(message);
    },
    of: (room) => byRoom.get(room) ?? null,
    get any() {
      return byRoom.size > 0;
    },
    list: () => [...losses, ...byRoom.values(), ...outside.values()],
  };
}
