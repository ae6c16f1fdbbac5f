import { describe, expect, it } from 'vitest';
import { fullFrame, rowFrame } from '../../../dashboard/src/chart/frames.ts';
import { keepScene, shortSpan } from '../../../dashboard/src/chart/keep-scene.ts';
import { type Mapping, nameWishes, sceneLines, sceneMarks } from '../../../dashboard/src/chart/names.ts';
import { crosses, type Lettering, overlaps, placeNames } from '../../../dashboard/src/chart/placing.ts';
import type { Frame, Scene } from '../../../dashboard/src/chart/scene.ts';
import { curveFromHistory, emptyCurve } from '../../../dashboard/src/feed/curve.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import { answersOf, morningMs, type StateName } from '../../browser/fixture-states.ts';

const hourMs = 3_600_000;
const wide = fullFrame({ width: 836, height: 350 });
const phone = fullFrame({ width: 350, height: 340 });
const row = rowFrame({ width: 250, height: 130 });
const states = ['keeping', 'leaving', 'left', 'too-cold', 'by-air'] as const;

const speech = {
  language: 'en',
  units: 'F',
  zone: 'America/Denver',
  names: { 'larder-water': 'Larder water jar' },
} as const;

function keepsOf(state: StateName): KeepView[] {
  return answersOf(state).watches.filter((view) => view.kind === 'keep');
}

function sceneOf(state: StateName, frame: Frame = wide, change: Partial<KeepView> = {}): Scene {
  const answers = answersOf(state);
  const [view, air] = keepsOf(state);
  if (view === undefined) throw new Error(`the state ${state} must have a keep`);
  const curveOf = (probe: string) => {
    const span = { fromMs: morningMs - 12 * hourMs, toMs: morningMs, points: 400 };
    return curveFromHistory(answers.historyOf(probe, span), emptyCurve);
  };
  return keepScene(
    {
      view: { ...view, ...change },
      curve: curveOf(view.probe),
      intervalMs: 5000,
      air: air === undefined ? null : { curve: curveOf(air.probe), intervalMs: 5000 },
      speech,
      nowMs: morningMs,
      live: true,
    },
    frame,
  );
}

function mapOf({ frame, fromMs, high, low, toMs }: Scene): Mapping {
  const plot = {
    left: frame.left,
    top: frame.top,
    right: frame.width - frame.right,
    bottom: frame.height - frame.bottom,
  };
  return {
    plot,
    x: (atMs) => plot.left + ((atMs - fromMs) / (toMs - fromMs)) * (plot.right - plot.left),
    y: (value) => plot.top + ((high - value) / (high - low)) * (plot.bottom - plot.top),
  };
}

/** A letter of the condensed cut is half as wide as it is high, give or take. */
function widthOf(words: string, { px }: Lettering): number {
  return words.length * px * 0.47;
}

function namesOf(scene: Scene) {
  const map = mapOf(scene);
  const bounds = { left: map.plot.left, top: 0, right: scene.frame.width, bottom: map.plot.bottom };
  const ground = { ...sceneLines(scene, map), bounds, boxes: sceneMarks(scene, map), widthOf };
  return { ground, names: placeNames(nameWishes(scene, map), ground) };
}

describe('the chart of a keep', () => {
  it('shows half a day on a wide sheet, less on a phone and in a row, and no post', () => {
    const pastOf = (frame: Frame) => (morningMs - sceneOf('keeping', frame).fromMs) / hourMs;
    expect([wide, phone, row].map(pastOf)).toEqual([12, 5, 6]);
    expect(sceneOf('keeping').window).toBeNull();
  });

  it('draws the jar thick and the air round it thin, or the air alone with what a jar feels of it', () => {
    const keeping = sceneOf('keeping');
    expect([keeping.seen.length, keeping.air?.runs.length, keeping.dot?.spread]).toEqual([1, 1, null]);
    const byAir = sceneOf('by-air');
    expect([byAir.seen.length, byAir.air?.runs.length]).toEqual([0, 1]);
    expect(byAir.dot?.spread?.low).toBeLessThan(byAir.dot?.value ?? 0);
  });

  it('dots what a power cut would do while it keeps, with its interval, and ends soon after', () => {
    const { crossing, rescue } = sceneOf('keeping');
    expect(crossing).toBeNull();
    expect(rescue?.crossing?.lowMs).toBeLessThan(rescue?.crossing?.atMs ?? 0);
    expect(rescue?.line.at(-1)?.atMs).toBeLessThan((rescue?.crossing?.highMs ?? 0) + 20 * 60_000);
    expect(sceneOf('keeping', row).rescue).toBeNull();
  });

  it('dashes where it is going once it leaves, with the interval of the crossing', () => {
    const { ahead, crossing, rescue } = sceneOf('leaving');
    expect(ahead.length).toBeGreaterThan(10);
    expect(crossing).toMatchObject({ kind: 'forecast', text: expect.stringMatching(/^7:\d\d$/) });
    expect(rescue).toBeNull();
    expect(sceneOf('left').crossing).toBeNull();
  });

  it('turns to the cold limit, and the wanted side above it, where it gets too cold', () => {
    const { target } = sceneOf('too-cold');
    expect(target).toMatchObject({ side: 'above', figure: '31.0' });
    expect(target.wanted[0]).toBe('wanted: 31.0\u00a0°F and above');
    expect(sceneOf('keeping').target).toMatchObject({ side: 'under', figure: '40' });
  });

  it('hatches what lasted and stalks a door, each with its name', () => {
    expect(sceneOf('keeping').notes.map(({ kind, names }) => [kind, names[0]])).toEqual([
      ['stalk', 'door 45 s'],
      ['stalk', 'door 30 s'],
      ['hatch', 'power off 2:10–3:25'],
      ['stalk', 'door 40 s'],
    ]);
    const notes = [{ cause: 'usual' as const, fromMs: morningMs - hourMs, toMs: morningMs, mostC: 3 }];
    expect(sceneOf('keeping', wide, { notes }).notes).toEqual([]);
  });

  it('leaves words at least 40 px of the wanted ground, and 24 in a row', () => {
    for (const state of states) {
      for (const frame of [wide, phone, row]) {
        const scene = sceneOf(state, frame);
        const { plot, y } = mapOf(scene);
        const line = y(scene.target.value);
        const depth = scene.target.side === 'under' ? plot.bottom - line : line - plot.top;
        expect([state, depth >= (frame.row ? 23.9 : 40)]).toEqual([state, true]);
      }
    }
  });

  it('gives the axis one to three figures beside the target’s own, none touching it', () => {
    for (const state of states) {
      const { high, low, steps, target } = sceneOf(state);
      expect([state, steps.length >= 1 && steps.length <= 3]).toEqual([state, true]);
      const near = steps.filter((step) => (Math.abs(step - target.value) / (high - low)) * 282 < 14);
      expect([state, near]).toEqual([state, []]);
    }
  });

  it('lets no name touch a line, a mark or another name', () => {
    for (const state of states) {
      for (const frame of [wide, phone, row]) {
        const { ground, names } = namesOf(sceneOf(state, frame));
        for (const [index, name] of names.entries()) {
          expect(ground.lines.filter((line) => crosses(line, name.box))).toEqual([]);
          expect(ground.boxes.filter((box) => overlaps(box, name.box))).toEqual([]);
          expect(names.slice(index + 1).filter((other) => overlaps(other.box, name.box))).toEqual([]);
        }
      }
    }
  });

  it('places the names that matter most, on a wide sheet and on a phone', () => {
    for (const frame of [wide, phone]) {
      const words = namesOf(sceneOf('keeping', frame)).names.map((name) => name.words);
      expect(words).toEqual(expect.arrayContaining(['8:55', 'door 40 s', expect.stringContaining('power')]));
      expect(words.join()).toContain('and under');
    }
  });

  it('writes a span where there is little room', () => {
    expect([45_000, 12 * 60_000, 70 * 60_000, 26 * hourMs].map(shortSpan)).toEqual([
      '45 s',
      '12 min',
      '1 h 10 min',
      '1 d 2 h',
    ]);
  });
});
