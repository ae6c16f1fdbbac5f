import { describe, expect, it } from 'vitest';
import { orderWatches } from '../../../dashboard/src/today/order.ts';
import { listToCome } from '../../../dashboard/src/today/to-come.ts';
import type { AnyWatchView, WatchView } from '../../../shared/contract/api.ts';
import { answersOf, morningMs } from '../../browser/fixture-states.ts';

const speech = {
  language: 'en',
  units: 'F',
  zone: 'America/Denver',
  names: { 'jar-2': 'Jar 2', 'jar-3': 'Jar 3' },
} as const;
const now = { nowMs: morningMs, places: answersOf('mixed').house.places, speech };
const { chills: watches } = answersOf('several');

function only(watchesOf: WatchView[]): WatchView {
  const [view] = watchesOf;
  if (view === undefined) throw new Error('the state must have a watch');
  return view;
}

describe('what is to come', () => {
  it('stands in the order of the clock, forecasts with their interval', () => {
    expect(listToCome(watches, now).map(({ key, ...shown }) => shown)).toEqual([
      {
        atMs: morningMs + 8 * 60_000,
        forecast: false,
        text: 'Jar 2: latest for ice',
        small: [
          { text: 'the milk melts ', forecast: false },
          { text: '0.3 kg', forecast: true },
          { text: '; put in 0.7 kg', forecast: false },
        ],
        handWanted: true,
      },
      {
        atMs: expect.any(Number),
        forecast: true,
        text: 'Jar 3: under 40\u00a0°F',
        small: [{ text: 'between 7:22 and 7:26', forecast: true }],
        handWanted: false,
      },
      {
        atMs: morningMs + 33 * 60_000,
        forecast: false,
        text: 'Jar 3: the hour is up',
        small: [],
        handWanted: false,
      },
      {
        atMs: morningMs + 38 * 60_000,
        forecast: false,
        text: 'Jar 2: the hour is up',
        small: [],
        handWanted: false,
      },
      {
        atMs: expect.any(Number),
        forecast: true,
        text: 'Jar 2: under 40\u00a0°F, if left',
        small: [{ text: 'between 8:24 and 8:40', forecast: true }],
        handWanted: false,
      },
    ]);
  });

  it('leaves out what is past, and the deadline of a watch that has made it', () => {
    expect(listToCome(answersOf('made').watches, now)).toEqual([]);
    expect(listToCome(answersOf('missed').watches, now).map((one) => one.text)).toEqual([
      'Jar 2: under 40\u00a0°F, if left',
    ]);
  });

  it('says when a cold place leaves, and says nothing of one that keeps', () => {
    expect(listToCome(answersOf('keeping').watches, now)).toEqual([]);
    const [coming] = listToCome(answersOf('leaving').watches, now);
    expect([coming?.text, coming?.forecast]).toEqual(['Larder fridge: milk over 40\u00a0°F', true]);
  });

  it('names what the region asks once the house’s own hour is missed, and not before', () => {
    const deadlineMs = morningMs + 50 * 60_000;
    const asked = { rule: 'us-raw-retail', limitC: 40 / 9, deadlineMs, from: 'milking-end' } as const;
    const view = {
      ...only(answersOf('doomed').chills),
      outer: [{ ...asked, state: 'open' as const }],
    };
    const outerOf = (state: WatchView['state']) =>
      listToCome([{ ...view, state }], now).filter(({ key }) => key.includes('-outer-'));
    expect(outerOf('not-on-course')).toEqual([]);
    expect(outerOf('missed').map(({ key: _, ...shown }) => shown)).toEqual([
      {
        atMs: deadlineMs,
        forecast: false,
        text: `${speech.names['jar-2']}: 40\u00a0°F and under`,
        small: [{ text: 'asked by US raw retail', forecast: false }],
        handWanted: false,
      },
    ]);
  });

  it('says of a crossing that may never come after when it would', () => {
    const view = only(answersOf('doomed').chills);
    if (view.forecast === null) throw new Error('the watch must have a forecast');
    const crossing = { ...view.forecast.crossing, p90: null };
    const coming = listToCome([{ ...view, forecast: { ...view.forecast, crossing } }], now);
    expect(coming.at(-1)?.small).toEqual([{ text: 'after 8:24', forecast: true }]);
  });
});

describe('the order of the watches', () => {
  const ids = (views: AnyWatchView[]) => orderWatches(views, now).map(({ view }) => view.probe);

  it('puts one that is not on course before one that is, though that comes sooner', () => {
    expect(ids([...watches].reverse())).toEqual(['jar-2', 'jar-3']);
  });

  it('puts those that want a hand before all others', () => {
    const silent = { ...only(answersOf('silent').chills), id: 'chill-jar-4-1', probe: 'jar-4' };
    expect(ids([...watches, silent])).toEqual(['jar-2', 'jar-4', 'jar-3']);
  });

  it('puts what keeps last, and a cold place that wants a hand before a jar that is on course', () => {
    const keeping = answersOf('keeping').watches;
    expect(ids([...keeping, ...watches]).slice(0, 2)).toEqual(['jar-2', 'jar-3']);
    expect(ids([...watches, ...answersOf('leaving').watches])).toEqual(['jar-2', 'larder-water', 'jar-3']);
  });

  it('leaves out what has ended', () => {
    expect(ids(watches.map((view) => ({ ...view, state: 'ended' })))).toEqual([]);
  });
});
