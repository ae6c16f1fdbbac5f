import { describe, expect, it } from 'vitest';
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { standingOf } from '../../../daemon/watch/standing.ts';
import { openWatching } from '../../../daemon/watch/step.ts';

const minuteMs = 60_000;
const startMs = Date.UTC(2026, 3, 18, 6);
const limitC = 40 / 9;

const rules: WatchRules = {
  chill: { limitC, spanMs: 60 * minuteMs, guarded: true },
  places: {},
  probes: { jar: { place: null, volumeL: null, material: null, uncertaintyC: 0.1, measures: null } },
  heightM: 0,
  startsByItself: false,
};

/** How the watching of a jar that cools from 37 °C stands each minute, begun by a word. */
function standings(minutes: number, tempAt: (min: number) => number) {
  const watching = openWatching();
  const found = [standingOf(watching.lanes.values(), startMs)];
  const begun = {
    kind: 'chill-begin',
    probe: 'jar',
    limitC,
    spanMs: 60 * minuteMs,
    sinceMs: startMs,
  } as const;
  drive(
    watching,
    { inputSeq: 1, receivedMs: startMs, kind: 'word', wordId: 'begin-the-chill', by: 'house', word: begun },
    rules,
  );
  for (let index = 0; index < minutes * 6; index++) {
    const atMs = startMs + index * 10_000;
    const reading = { probe: 'jar', atMs, tempC: tempAt(index / 6), flags: 0 };
    drive(watching, { inputSeq: index + 2, receivedMs: atMs, kind: 'reading', reading }, rules);
    if (index % 6 === 5) found.push(standingOf(watching.lanes.values(), atMs));
  }
  return found;
}

describe('how the watching stands', () => {
  it('is calm without a chill, open with one, and at a turn around the deadline of milk that is too slow', () => {
    const found = standings(64, (min) => 2 + 35 * Math.exp(-min / 60));
    expect(found[0]).toBe('calm');
    expect(found.slice(1, 58)).toEqual(Array.from({ length: 57 }, () => 'open'));
    expect(found[60]).toBe('turn');
    expect(found[64]).toBe('open');
  });

  it('is at a turn while the milk comes under its limit, and open again once it is made', () => {
    const tauMin = 15;
    const crossesMin = tauMin * Math.log(37 / (limitC + 2));
    const found = standings(45, (min) => -2 + 37 * Math.exp(-min / tauMin));
    expect(found[Math.floor(crossesMin)]).toBe('turn');
    expect(found[20]).toBe('open');
    expect(found.at(-1)).toBe('open');
  });
});
