import { describe, expect, it } from 'vitest';
import { openProbePlaces } from '../../daemon/probe-places.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

function opened(probe: string, place: string | null, sinceMs: number): RecordEvent {
  const body = { probe, place, placeKind: null, volumeL: null, material: null, sinceMs };
  return { kind: 'sitting-opened', atMs: sinceMs, body } as unknown as RecordEvent;
}

function ended(probe: string, atMs: number): RecordEvent {
  return { kind: 'sitting-ended', atMs, body: { probe, reason: 'taken-out' } } as unknown as RecordEvent;
}

describe('where a probe stood', () => {
  it('is the sitting of that instant, and the usual place before the first and after one that ended', () => {
    const places = openProbePlaces((probe) => (probe === 'jar' ? 'chest-freezer' : null));
    places.hear([
      opened('jar', 'ice-tub', dawnMs),
      opened('jar', 'larder', dawnMs + 60_000),
      ended('jar', dawnMs + 120_000),
    ]);
    const at = (minutes: number) => places.placeOf('jar', dawnMs + minutes * 60_000);
    expect([-1, 0, 0.9, 1, 1.9, 2, 9].map(at)).toEqual([
      'chest-freezer',
      'ice-tub',
      'ice-tub',
      'larder',
      'larder',
      'chest-freezer',
      'chest-freezer',
    ]);
    expect(places.placeOf('pot', dawnMs)).toBeNull();
  });

  it('is known of a sitting that was heard of late', () => {
    const places = openProbePlaces(() => null);
    places.hear([opened('jar', 'larder', dawnMs + 60_000), opened('jar', 'ice-tub', dawnMs)]);
    expect([30_000, 90_000].map((ms) => places.placeOf('jar', dawnMs + ms))).toEqual(['ice-tub', 'larder']);
  });
});
