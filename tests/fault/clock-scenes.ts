/** What happens to the machines of the clock proof, and what a house must tell of it at which true instant. */
import type { Random } from '../../probes/simulated/random.ts';
import type { ClockWorld } from './clock-world.ts';

export type ClockScene = 'steps' | 'learned' | 'restored' | 'saving-time';

/** Something that must be told: when in true time (null where nothing hangs on it), and how long was held by then. */
export type Wanted = { what: string; trueMs: number | null; heldMs: number };

type Played = {
  readings: number;
  /** Readings whose true instant can be known. */
  sent: { probe: string; trueMs: number }[];
  wanted: Wanted[];
};

export type Clocked = { aheadMs: number; synchronised: boolean };

export type SceneSettings = {
  startMs: number;
  zone?: string;
  clock: Clocked;
  /** Plays it, with readings this far apart. */
  script: (world: ClockWorld, random: Random, everyMs: number) => Promise<Played>;
};

/** The probes of every scene. */
export const clockProbes = ['pot', 'jar'] as const;

const secondMs = 1_000;
const minuteMs = 60_000;
const hourMs = 3_600_000;
const right: Clocked = { aheadMs: 0, synchronised: true };
/** A morning of milking. */
const dawnMs = Date.UTC(2026, 3, 18, 6, 40);

const holdMs = 20 * minuteMs;
const heldC = 72;

export const clockScenes: Record<ClockScene, SceneSettings> = {
  steps: { startMs: dawnMs, clock: right, script: playSteps },
  // A board without a battery clock: its time is that of its image, and nobody says that it is right.
  learned: {
    startMs: dawnMs,

    clock: { aheadMs: -200 * 24 * hourMs, synchronised: false },
    script: playLearned,
  },
  restored: { startMs: dawnMs, clock: right, script: playRestored },
  // Clocks on the wall go back by an hour at 8:00 UTC.
  'saving-time': {
    startMs: Date.UTC(2026, 10, 1, 7, 40),

    zone: 'America/Denver',
    clock: right,
    script: playSavingTime,
  },
};

/** A kitchen with a pot on hold and a jar that misses its hour. */
function openKitchen(world: ClockWorld, everyMs: number) {
  const played: Played = { readings: 0, sent: [], wanted: [] };
  const sinceMs = world.nowMs();
  let run: { fromMs: number; lastMs: number } | null = null;
  let holding = false;
  let broken: { why: 'restart' | 'gap'; heldMs: number } | null = null;
  const milkC = () => -2 + 38 * Math.exp(-(world.nowMs() - sinceMs) / minuteMs / 70);

  return {
    played,
    everyMs,
    /** Begins a hold of the pot. */
    beginHold: async () => {
      await world.say({ kind: 'hold-begin', probe: 'pot', hold: { holdMs, limitC: 70 } });
      holding = true;
      run = null;
    },
    /** Begins the chill of the jar; its hour is up at an instant that no clock may move. */
    beginChill: async () => {
      await world.say({ kind: 'chill-begin', probe: 'jar' });
      played.wanted.push({ what: 'chill-missed', trueMs: world.nowMs() + hourMs, heldMs: 0 });
    },
    isHolding: () => holding,
    /** What was held so far proves nothing any more. */
    breakHold: (why: 'restart' | 'gap') => {
      if (holding && run !== null && run.lastMs - run.fromMs >= minuteMs) {
        broken = { why, heldMs: run.lastMs - run.fromMs };
      }
      run = null;
    },
    /** Lets time pass to the next readings and sends them; `potC` is what the pot shows. */
    read: async (potC = heldC) => {
      world.pass(everyMs);
      const trueMs = world.nowMs();
      await world.read('pot', potC);
      await world.read('jar', milkC());
      played.readings += 2;
      played.sent.push({ probe: 'pot', trueMs }, { probe: 'jar', trueMs });
      if (!holding) return;
      if (broken !== null) {
        // A gap is known by the reading after it; a restart may be told of before the first one.
        const { why, heldMs } = broken;
        played.wanted.push({ what: `hold-broken by ${why}`, trueMs: why === 'gap' ? trueMs : null, heldMs });
        broken = null;
      }
      if (potC < 70) {
        if (run !== null && run.lastMs - run.fromMs >= minuteMs) {
          played.wanted.push({ what: 'hold-broken by under', trueMs, heldMs: run.lastMs - run.fromMs });
        }
        run = null;
        return;
      }
      run = run === null ? { fromMs: trueMs, lastMs: trueMs } : { ...run, lastMs: trueMs };
      if (run.lastMs - run.fromMs < holdMs) return;
      played.wanted.push({ what: 'hold-proved', trueMs, heldMs: run.lastMs - run.fromMs });
      holding = false;
    },
  };
}

type Kitchen = ReturnType<typeof openKitchen>;

async function readFor(kitchen: Kitchen, spanMs: number): Promise<void> {
  for (let leftMs = spanMs; leftMs > 0; leftMs -= kitchen.everyMs) await kitchen.read();
}

/** The clock jumps by an hour, to and fro, and the daemon is ended in order or killed, all at random. */
async function playSteps(world: ClockWorld, random: Random, everyMs: number): Promise<Played> {
  const kitchen = openKitchen(world, everyMs);
  let aheadMs = 0;
  await kitchen.beginChill();
  await kitchen.beginHold();
  for (let leftMs = 110 * minuteMs; leftMs > 0; leftMs -= everyMs) {
    const dice = random.uniform();
    if (dice < 0.03) {
      aheadMs += random.uniform() < 0.5 ? hourMs : -hourMs;
      await world.setClock({ aheadMs, synchronised: true });
    } else if (dice < 0.042) {
      await world.restart({ how: random.uniform() < 0.5 ? 'kill' : 'stop', offMs: 0 });
    } else if (!kitchen.isHolding() && dice < 0.2) await kitchen.beginHold();
    await kitchen.read(random.uniform() < 0.01 ? 60 : heldC);
  }
  // Instants of a clock that was set wrong stay as they were taken.
  return { ...kitchen.played, sent: [] };
}

/** The time is not known, over a restart of the daemon, and is learned while a hold and an hour run. */
async function playLearned(world: ClockWorld, random: Random, everyMs: number): Promise<Played> {
  const kitchen = openKitchen(world, everyMs);
  await kitchen.beginChill();
  await kitchen.beginHold();
  await readFor(kitchen, (4 + random.uniform() * 6) * minuteMs);
  kitchen.breakHold('restart');
  await world.restart({ how: random.uniform() < 0.5 ? 'kill' : 'stop', offMs: 0 });
  // The steady clock of the first run is gone with it: its instants cannot be known.
  kitchen.played.sent.length = 0;
  await readFor(kitchen, (4 + random.uniform() * 8) * minuteMs);
  await world.setClock(right);
  await readFor(kitchen, (15 + random.uniform() * 5) * minuteMs);
  await world.restart({ how: 'kill', offMs: 0 });
  await readFor(kitchen, 35 * minuteMs);
  return kitchen.played;
}

/** The power is cut; the board comes up with a time that it had saved: plausible, and wrong. Then the time is learned. */
async function playRestored(world: ClockWorld, random: Random, everyMs: number): Promise<Played> {
  const kitchen = openKitchen(world, everyMs);
  await kitchen.beginChill();
  await kitchen.beginHold();
  await readFor(kitchen, (5 + random.uniform() * 5) * minuteMs);
  kitchen.breakHold('restart');
  const offMs = Math.round(10 + random.uniform() * 15) * minuteMs;
  // Saved as the power went, or up to an hour before.
  const savedMs = random.uniform() < 0.5 ? 0 : Math.round(random.uniform() * 60) * minuteMs;
  const restored = { aheadMs: 3 * secondMs - offMs - savedMs, synchronised: false };
  await world.restart({ how: 'kill', offMs, clock: restored });
  await readFor(kitchen, (2 + random.uniform() * 5) * minuteMs);
  await world.setClock(right);
  await readFor(kitchen, 28 * minuteMs);
  // Another cut, after which the machine knows the time: what was missed is known, and still is a gap.
  await kitchen.beginHold();
  await readFor(kitchen, 3 * minuteMs);
  kitchen.breakHold('gap');
  await world.restart({ how: 'kill', offMs: 2 * minuteMs });
  await readFor(kitchen, 25 * minuteMs);
  return kitchen.played;
}

/** Clocks on walls go back while a hold and an hour run; nothing of that reaches a clock that counts in UTC. */
async function playSavingTime(world: ClockWorld, random: Random, everyMs: number): Promise<Played> {
  const kitchen = openKitchen(world, everyMs);
  const turnsMs = Date.UTC(2026, 10, 1, 8);
  await kitchen.beginChill();
  await kitchen.beginHold();
  await readFor(kitchen, turnsMs - world.nowMs());
  // A house that went by the clock on the wall would see it jump.
  if (world.fault !== null) await world.setClock({ aheadMs: -hourMs, synchronised: true });
  await readFor(kitchen, (5 + random.uniform() * 10) * minuteMs);
  await world.restart({ how: 'kill', offMs: 0 });
  await readFor(kitchen, 40 * minuteMs);
  return kitchen.played;
}
