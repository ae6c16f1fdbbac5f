/** A door that was opened: a step up that no compressor makes, and what is left of it once the air has come back. */
import { type KeepTrace, restMin, roseIn } from './keep-trace.ts';
import { doorUnknownC, type Usual } from './keep-usual.ts';

/** Since when it was opened, from which temperature, and whether the air has begun to come back. */
export type Door = {
  sinceMin: number;
  /** The last step up: it may be opened again before the air is back. */
  lastStepMin: number;
  fromC: number;
  peakC: number;
  peakMin: number;
  shut: boolean;
  /** True once the air is back in the usual. */
  back: boolean;
  /** True where the cooling was at work before: as it ends the air springs back by itself. */
  springs: boolean;
  /** How far the floor stayed above where it would be had nobody opened; null until that can be told. */
  leftC: number | null;
};

/** A load that warms a place for longer than this is no load, minutes. */
export const loadMostMin = 8 * 60;
/** A rise without cooling slows down within so long, minutes. */
const paceFadesMin = 40;
/** The floor tells what is left of a door after this, minutes. */
const settledMin = 16;
/** What is left of a door that was shut again is less than this share of its step. */
const leftShare = 0.16;
/** Where the air has come back by this share of its step the door was shut. */
const shutShare = 0.2;
/** For so long after its trough the air may spring back by itself, minutes. */
const springMin = 10;

/** Returns the door after one more minute: null where none was opened, or nothing is left of it. */
export function followDoor(door: Door | null, trace: KeepTrace, usual: Usual | null): Door | null {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const next = stepDoor(door, trace, usual);
  if (next === null) return null;
  if (tempC > next.peakC) {
    next.peakC = tempC;
    next.peakMin = min;
  }
  const backC = Math.max(shutShare * (next.peakC - next.fromC), 0.25, 4 * trace.noiseC);
  if (!next.shut && tempC <= next.peakC - backC) next.shut = true;
  next.back = next.shut && tempC <= (usual?.hiMostC ?? next.fromC + 0.5);
  if (min - next.sinceMin > loadMostMin || (next.back && usual === null)) return null;
  if (usual === null) return next;
  if (next.leftC === null && min - next.lastStepMin < settledMin) return next;
  next.leftC ??= Math.round(leftOf(next, trace, usual) * 100) / 100;
  return next.shut && !isLeft(next, usual) ? null : next;
}

/** Whether a door left more behind than one that was shut again does: it stands ajar, or something warm went in. */
export function isLeft({ leftC, peakC, fromC }: Door, usual: Usual): boolean {
  const ampC = usual.hiC - usual.loC;
  return leftC !== null && leftC > Math.max(0.5, 0.18 * ampC, leftShare * (peakC - fromC));
}

/** How far the floor is above where it would be had the door stayed shut and the cooling off, °C. */
function leftOf({ fromC, sinceMin, springs }: Door, trace: KeepTrace, usual: Usual): number {
  const [min] = trace.bins.at(-1) as [number, number];
  // Where it had just cooled, the air would have sprung back anyway: by so much, or up to there.
  const sprungC = springs ? Math.min(fromC + usual.restC - usual.loC, usual.hiC) : fromC;
  const springsC = Math.max(fromC, sprungC, usual.restC);
  const spanMin = Math.max(0, min - sinceMin - (springsC > fromC ? restMin : 0));
  const risesC = usual.pacePerMin * paceFadesMin * (1 - Math.exp(-spanMin / paceFadesMin));
  return trace.floorC - (springsC + risesC);
}

/** A step opens a door; one that comes after it was shut is another door: whoever opens it again shuts it then. */
function stepDoor(door: Door | null, trace: KeepTrace, usual: Usual | null): Door | null {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const jumpC = roseIn(trace, 3);
  if (jumpC < stepLeastC(trace, usual)) return door;
  if (door !== null && !door.shut && door.leftC === null) {
    return tempC > door.peakC ? { ...door, lastStepMin: min } : door;
  }
  const fromC = tempC - jumpC;
  return {
    sinceMin: startOfStep(trace, fromC),
    lastStepMin: min,
    fromC,
    peakC: tempC,
    peakMin: min,
    shut: false,
    back: false,
    springs: isSprung(trace),
    leftC: null,
  };
}

function stepLeastC(trace: KeepTrace, usual: Usual | null): number {
  if (usual === null) return Math.max(doorUnknownC, 7 * trace.noiseC);
  return isSprung(trace) ? usual.springJumpC : usual.doorJumpC;
}

/** Whether the cooling was at work some minutes ago; the floor is behind the air, and still falls as it stops. */
function isSprung({ rising, turn, bins }: KeepTrace): boolean {
  const [min] = bins.at(-1) as [number, number];
  return rising !== true || min - turn[0] <= springMin;
}

function startOfStep({ bins }: KeepTrace, fromC: number): number {
  for (let place = bins.length - 1; place >= Math.max(0, bins.length - 6); place--) {
    const [min, tempC] = bins[place] as [number, number];
    if (tempC <= fromC + 0.01) return min;
  }
  return (bins.at(-1) as [number, number])[0];
}
