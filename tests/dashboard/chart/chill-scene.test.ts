import { describe, expect, it } from 'vitest';
import { chillScene, emptyScene } from '../../../dashboard/src/chart/chill-scene.ts';
import { describeChill } from '../../../dashboard/src/chart/describe.ts';
import { fullFrame, rowFrame } from '../../../dashboard/src/chart/frames.ts';
import { type Mapping, nameWishes, sceneLines, sceneMarks } from '../../../dashboard/src/chart/names.ts';
import { crosses, type Lettering, overlaps, placeNames } from '../../../dashboard/src/chart/placing.ts';
import type { Scene } from '../../../dashboard/src/chart/scene.ts';
import { type Curve, curveFromHistory, emptyCurve } from '../../../dashboard/src/feed/curve.ts';
import type { WatchView } from '../../../shared/contract/api.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { answersOf, morningMs, type StateName, stateNames } from '../../browser/fixture-states.ts';

const minuteMs = 60_000;
const wide = fullFrame({ width: 836, height: 350 });
const phone = fullFrame({ width: 350, height: 340 });

function speechIn(units: 'F' | 'C'): Speech {
  return { language: 'en', units, zone: 'America/Denver', names: { 'jar-2': 'Jar 2', 'jar-3': 'Jar 3' } };
}

function sightOf(state: StateName): { view: WatchView; curve: Curve } {
  const answers = answersOf(state);
  const view = answers.chills[0];
  if (view === undefined) throw new Error(`the state ${state} must have a watch`);
  const span = { fromMs: view.sinceMs, toMs: morningMs, points: 400 };
  return { view, curve: curveFromHistory(answers.historyOf(view.probe, span), emptyCurve) };
}

function sceneOf(state: StateName, frame = wide, live = true): Scene {
  const speech = speechIn(state === 'celsius' ? 'C' : 'F');
  const aheadNames = ['left in the chest freezer', 'left as it is'];
  return chillScene(
    { ...sightOf(state), intervalMs: 5000, speech, nowMs: morningMs, live, aheadNames },
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

const watched = stateNames.filter((state) => answersOf(state).chills.length > 0);

describe('the chart of a chill', () => {
  it('shows the whole window and the forecast crossing with its interval', () => {
    const scene = sceneOf('doomed');
    const { view } = sightOf('doomed');
    expect(scene.fromMs).toBeLessThan(view.window.originMs);
    expect(scene.toMs).toBeGreaterThan(view.forecast?.crossing.p90 ?? 0);
    expect(scene.crossing).toEqual({
      kind: 'forecast',
      atMs: view.forecast?.crossing.p50,
      lowMs: view.forecast?.crossing.p10,
      highMs: view.forecast?.crossing.p90,
      text: '8:32',
    });
    expect(scene.steps).toEqual([60, 80, 100]);
    expect(scene.ring).toMatchObject({ forecast: true, text: '59\u00a0°F' });
  });

  it('starts the forecast in the last reading, so that the lines join', () => {
    const { ahead, dot } = sceneOf('doomed');
    expect(ahead[0]).toEqual({ atMs: dot?.atMs, low: dot?.value, mid: dot?.value, high: dot?.value });
  });

  it('leaves words at least 40 px of the wanted ground, on a phone too, and 24 in a row', () => {
    for (const state of watched) {
      for (const frame of [wide, phone]) {
        const scene = sceneOf(state, frame);
        const map = mapOf(scene);
        expect(map.plot.bottom - map.y(scene.target.value)).toBeGreaterThanOrEqual(40);
      }
      const row = sceneOf(state, rowFrame({ width: 250, height: 130 }));
      expect(mapOf(row).plot.bottom - mapOf(row).y(row.target.value)).toBeGreaterThanOrEqual(23.9);
    }
  });

  it('gives the axis three or four figures with the target’s own', () => {
    for (const state of watched) {
      const figures = sceneOf(state).steps.length + 1;
      expect([state, figures >= 3 && figures <= 4]).toEqual([state, true]);
    }
  });

  it('lets no name touch a line, the post, a mark or another name', () => {
    for (const state of watched) {
      for (const frame of [wide, phone, rowFrame({ width: 250, height: 130 })]) {
        const scene = sceneOf(state, frame);
        const map = mapOf(scene);
        const { edges, lines } = sceneLines(scene, map);
        const boxes = sceneMarks(scene, map);
        const bounds = { left: 0, top: 0, right: frame.width, bottom: map.plot.bottom };
        const names = placeNames(nameWishes(scene, map), { bounds, boxes, edges, lines, widthOf });
        for (const [index, name] of names.entries()) {
          expect(lines.filter((line) => crosses(line, name.box))).toEqual([]);
          expect(boxes.filter((box) => overlaps(box, name.box))).toEqual([]);
          expect(names.slice(index + 1).filter((other) => overlaps(other.box, name.box))).toEqual([]);
        }
      }
    }
  });

  it('places the names that matter most, on a wide sheet and on a phone', () => {
    for (const frame of [wide, phone]) {
      const scene = sceneOf('doomed', frame);
      const map = mapOf(scene);
      const bounds = { left: 0, top: 0, right: frame.width, bottom: map.plot.bottom };
      const ground = { ...sceneLines(scene, map), bounds, boxes: sceneMarks(scene, map), widthOf };
      const words = placeNames(nameWishes(scene, map), ground).map((name) => name.words);
      expect(words).toEqual(expect.arrayContaining(['7:42 the hour is up', '8:32', '59\u00a0°F', '7:29']));
    }
  });

  it('sets what has happened upright and without an interval', () => {
    const scene = sceneOf('made');
    expect(scene.crossing).toMatchObject({ kind: 'happened', text: '7:01' });
    expect(scene.ahead).toEqual([]);
    expect(sceneOf('missed').ring).toMatchObject({ forecast: false });
  });

  it('hollows the last reading of a silent probe, and every one where the house is not heard', () => {
    expect(sceneOf('silent').dot).toMatchObject({ heard: false, names: ['6:58 last heard', '6:58'] });
    expect(sceneOf('doomed').dot).toMatchObject({ heard: true, names: [] });
    expect(sceneOf('doomed', wide, false).dot).toMatchObject({ heard: false });
  });

  it('counts no minute as heard after the last reading', () => {
    const { heard } = sceneOf('silent');
    expect(heard.at(-1)?.toMs).toBeLessThanOrEqual(morningMs - 6 * minuteMs);
  });

  it('draws the window of an empty house in minutes after milking', () => {
    const scene = emptyScene({ limitC: 40 / 9, spanMs: 3_600_000, speech: speechIn('F') }, wide);
    expect(scene).toMatchObject({
      window: { fromMs: 0, toMs: 3_600_000, names: ['the hour'] },
      steps: [60, 80, 100],
      times: { kind: 'since', fromMs: 0, name: 'milked' },
      seen: [],
      dot: null,
    });
  });
});

describe('the sentence that stands for a chart', () => {
  const spoken = (state: StateName) => {
    const { curve, view } = sightOf(state);
    return describeChill(view, curve, speechIn('F')).replaceAll('\u00a0', ' ');
  };

  it('says the run, the forecast with its interval, and what is wanted', () => {
    expect(spoken('doomed')).toBe(
      'Jar 2: from 97.5 °F at 6:45 falling to 82.0 °F at 7:04; forecast 59 °F at 7:42 and 40 °F near 8:32, between 8:24 and 8:40; wanted: 40 °F and under by 7:42.',
    );
  });

  it('says when it was made', () => {
    expect(spoken('made')).toContain('; under 40 °F at 7:01; wanted: 40 °F and under by 7:14.');
  });
});
