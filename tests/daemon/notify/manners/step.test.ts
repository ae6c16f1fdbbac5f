import { describe, expect, it } from 'vitest';
import { openMatters } from '../../../../daemon/notify/manners/step.ts';
import { dawnMs, fridge, jar, milker, minuteMs, openTold, openToldIn, probe, word } from './told.ts';

const neighbour = {
  ...milker,
  id: 'neighbour',
  ways: ['hook'],
  from: 'warn',
  afterMs: 10 * minuteMs,
} as const;
const silence = 'probe-jar:silence';

describe('a matter', () => {
  it('is told by as many ways as it weighs', () => {
    const told = openTold(milker);
    expect(told.hear('chill-made', jar.made('chill-jar-1'), 0)).toEqual(['first tell to milker by bell: 1']);
    expect(told.hear('probe-silent', probe.silent(), 1)).toEqual([
      'first warn to milker by bell: 2',
      'first warn to milker by mail: 2',
    ]);
    expect(told.hear('keep-left', fridge.left(), 2)).toEqual([
      'first alarm to milker by bell: 3',
      'first alarm to milker by mail: 3',
      'first alarm to milker by page: 3',
    ]);
  });

  it('is told once, with its news ten minutes apart at the soonest, and when it is over', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    expect(told.hear('keep-will-leave', fridge.willLeave(), 0)).toEqual(['first warn to milker by mail: 1']);
    expect(told.hear('keep-will-leave', fridge.willLeave(), 2)).toEqual([]);
    expect(told.hear('keep-will-leave', fridge.willLeave(), 3)).toEqual([]);
    expect(told.pass(9)).toEqual([]);
    expect(told.pass(11)).toEqual(['update tell to milker by mail: 3']);
    expect(told.hear('keep-back', fridge.back(), 30)).toEqual(['over tell to milker by mail: 4']);
    expect(told.pass(120)).toEqual([]);
  });

  it('that comes to weigh more is told at once', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('keep-will-leave', fridge.willLeave(), 0);
    expect(told.hear('keep-left', fridge.left(), 1)).toEqual(['update alarm to milker by mail: 2']);
  });

  it('ends without a word where its watch ends', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('keep-will-leave', fridge.willLeave(), 0);
    const ended = { watch: 'keep-fridge-7', reason: 'word', met: null, crossedAtMs: null } as const;
    expect(told.hear('watch-ended', ended, 1)).toEqual([]);
    expect(openMatters(told.state)).toEqual([]);
  });

  it('that comes and goes is told again only once it has stayed for a quarter of an hour', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    expect(told.hear('probe-silent', probe.silent(), 0)).toHaveLength(1);
    expect(told.hear('probe-heard', probe.heard(), 1)).toEqual(['over tell to milker by mail: 2']);
    for (let minute = 2; minute < 10; minute += 2) {
      expect(told.hear('probe-silent', probe.silent(), minute)).toEqual([]);
      expect(told.hear('probe-heard', probe.heard(), minute + 1)).toEqual([]);
    }
    expect(told.hear('probe-silent', probe.silent(), 10)).toEqual([]);
    expect(told.pass(23)).toEqual([]);
    expect(told.pass(25)).toEqual(['calm warn to milker by mail: 11']);
  });

  it('that comes back as an alarm is told at once', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('keep-left', fridge.left(), 0);
    told.hear('keep-back', fridge.back(), 1);
    expect(told.hear('keep-left', fridge.left(), 2)).toEqual(['first alarm to milker by mail: 3']);
  });
});

describe('what nobody has seen', () => {
  it('goes to the next person after a while, and not where somebody has seen it', () => {
    const unseen = openTold(milker, neighbour);
    expect(unseen.hear('probe-silent', probe.silent(), 0)).toHaveLength(2);
    expect(unseen.pass(9)).toEqual([]);
    expect(unseen.pass(11)).toEqual(['unseen warn to neighbour by hook: 1']);

    const seen = openTold(milker, neighbour);
    seen.hear('probe-silent', probe.silent(), 0);
    seen.hear('word-said', word.seen(silence), 5);
    expect(seen.pass(60)).toEqual([]);
  });

  it('is said again where it is an alarm, ever more seldom, until it is seen', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('keep-left', fridge.left(), 0);
    expect(told.pass(4)).toEqual([]);
    expect(told.pass(5)).toEqual(['again alarm to milker by mail: 1']);
    expect(told.pass(14)).toEqual([]);
    expect(told.pass(15)).toHaveLength(1);
    expect(told.pass(35)).toHaveLength(1);
    told.hear('word-said', word.seen('keep-fridge-7:course'), 36);
    expect(told.pass(600)).toEqual([]);
    expect(openMatters(told.state)[0]?.seen).toEqual({ by: 'milker', atMs: dawnMs + 36 * minuteMs });
  });

  it('ends after eight times', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('keep-left', fridge.left(), 0);
    expect(told.pass(6_000)).toHaveLength(8);
  });
});

describe('a snooze', () => {
  it('offers the last instant at which the best rescue still works, and reminds then', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('chill-will-miss', jar.misses('chill-jar-1', null, 25), 0);
    expect(openMatters(told.state)[0]?.remindAtMs).toBe(dawnMs + 25 * minuteMs);
    told.hear('word-said', word.snoozed('chill-jar-1:course', 25), 1);
    expect(told.pass(24)).toEqual([]);
    expect(told.pass(25)).toEqual(['reminder warn to milker by mail: 1']);
  });

  it('is silent where the matter is over by then', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('chill-will-miss', jar.misses('chill-jar-1', null), 0);
    told.hear('word-said', word.snoozed('chill-jar-1:course', 25), 1);
    expect(told.hear('chill-made', jar.made('chill-jar-1'), 20)).toEqual(['over tell to milker by mail: 3']);
    expect(told.pass(60)).toEqual([]);
  });

  it('ends where the matter comes to weigh more, and what is snoozed goes to nobody else', () => {
    const told = openTold({ ...milker, ways: ['mail'] }, neighbour);
    told.hear('keep-will-leave', fridge.willLeave(), 0);
    told.hear('word-said', word.snoozed('keep-fridge-7:course', 60), 1);
    expect(told.pass(20)).toEqual([]);
    expect(told.hear('keep-left', fridge.left(), 21)).toEqual(['update alarm to milker by mail: 3']);
    expect(told.pass(32)).toContain('unseen alarm to neighbour by hook: 3');
  });

  it('goes to the next person where nobody looks after the reminder', () => {
    const told = openTold({ ...milker, ways: ['mail'] }, neighbour);
    told.hear('keep-will-leave', fridge.willLeave(), 0);
    told.hear('word-said', word.snoozed('keep-fridge-7:course', 30), 1);
    expect(told.pass(45)).toEqual([
      'reminder warn to milker by mail: 1',
      'unseen warn to neighbour by hook: 1',
    ]);
  });
});

describe('quiet hours', () => {
  const asleep = {
    ...milker,
    ways: ['mail'],
    quiet: { fromMin: 5 * 60, toMin: 8 * 60, wake: 'alarm' },
  } as const;

  it('keep a warning for their end, and wake for an alarm', () => {
    const told = openTold(asleep);
    expect(told.hear('probe-silent', probe.silent(), 0)).toEqual([]);
    expect(told.hear('keep-left', fridge.left(), 1)).toEqual(['first alarm to milker by mail: 2']);
    told.hear('word-said', word.seen('keep-fridge-7:course'), 2);
    expect(told.pass(119)).toEqual([]);
    expect(told.pass(120)).toEqual(['held warn to milker by mail: 1']);
  });

  it('say nothing in the morning of what is over and was never told', () => {
    const told = openTold({ ...asleep, digestMin: 8 * 60 });
    told.hear('probe-silent', probe.silent(), 0);
    expect(told.hear('probe-heard', probe.heard(), 10)).toEqual([]);
    expect(told.pass(120)).toEqual(['digest tell to milker by mail: 1 2']);
  });

  it('let a second person who is awake hear of it', () => {
    const told = openTold(asleep, neighbour);
    told.hear('probe-silent', probe.silent(), 0);
    expect(told.pass(10)).toEqual(['unseen warn to neighbour by hook: 1']);
  });

  it('wake for nothing where a person wants so', () => {
    const told = openTold({ ...asleep, quiet: { ...asleep.quiet, wake: null } });
    expect(told.hear('keep-left', fridge.left(), 1)).toEqual([]);
    expect(told.pass(120)).toEqual(['held alarm to milker by mail: 1']);
  });
});

describe('a digest', () => {
  it('comes each morning in the zone of its receiver, also where there is nothing to tell', () => {
    const told = openTold({ ...milker, ways: ['mail'], zone: 'Europe/Vienna', digestMin: 9 * 60 });
    told.hear('chill-made', jar.made('chill-jar-1'), 0);
    // 9:00 in Vienna is 7:00 UTC in April.
    expect(told.pass(59)).toEqual([]);
    expect(told.pass(60)).toEqual(['digest tell to milker by mail: 1']);
    expect(told.pass(60 + 1_440)).toEqual(['digest tell to milker by mail: ']);
  });
});

describe('jars of one set-up', () => {
  /** One jar a morning that misses, or makes it; returns what was said of its course. */
  function morning(told: ReturnType<typeof openTold>, day: number, makes = false): string[] {
    const at = day * 1_440;
    const watch = `chill-jar-${day}`;
    told.hear('watch-opened', jar.opened(watch), at);
    const said = told.hear('chill-will-miss', jar.misses(watch), at + 10);
    const ends = makes
      ? told.hear('chill-made', jar.made(watch), at + 55)
      : told.hear('chill-missed', jar.missed(watch), at + 60);
    told.hear('watch-ended', { watch, reason: 'taken-out', met: makes, crossedAtMs: null }, at + 120);
    return [...said, ...ends].map((line) => line.replace(/:.*/, ''));
  }

  const usual = ['first warn to milker by mail', 'update tell to milker by mail'];

  it('that missed three times in a row get one standing word instead of a warning each', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2]) expect(morning(told, day)).toEqual(usual);
    expect(morning(told, 3)).toEqual(['standing tell to milker by mail', 'update tell to milker by mail']);
    expect(morning(told, 4)).toEqual([]);
    expect(morning(told, 5)).toEqual([]);
  });

  it('are warned of again after one that makes it', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2, 3, 4]) morning(told, day);
    morning(told, 5, true);
    expect(morning(told, 6)).toEqual(usual);
  });

  it.each([
    ['another place', jar.sits('fridge')],
    ['another vessel', jar.sits('freezer', 0.95, 'steel')],
    ['more milk', jar.sits('freezer', 1.3)],
  ])('are warned of again in %s', (_, sits) => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2, 3]) morning(told, day);
    told.hear('sitting-opened', sits, 4 * 1_440 - 5);
    expect(morning(told, 4)).toEqual(usual);
  });

  it('stay one set-up where a little more milk is in them', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2, 3]) morning(told, day);
    told.hear('sitting-opened', jar.sits('freezer', 1.1), 4 * 1_440 - 5);
    expect(morning(told, 4)).toEqual([]);
  });

  // Household practice: 40 °F within 2 h of milking. Australia: 5 °C within 3.5 h of its start, here 2.5 h of its end.
  it.each([
    ['household', 119, []],
    ['household', 121, ['first warn to milker by mail: 19']],
    ['australia', 149, []],
    ['australia', 151, ['first warn to milker by mail: 19']],
  ] as const)('that may miss the window of %s, too, are always warned of: %i min', (region, min, said) => {
    const told = openToldIn(region, { ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2, 3]) morning(told, day);
    told.hear('watch-opened', jar.opened('chill-jar-9'), 4 * 1_440);
    const heard = told.hear('chill-will-miss', jar.misses('chill-jar-9', min), 4 * 1_440 + 10);
    expect(heard).toEqual(said);
  });

  it('are always warned of where the house asks for less cold than the region', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    told.hear('sitting-opened', jar.sits('freezer'), 0);
    for (const day of [0, 1, 2, 3]) morning(told, day);
    told.hear('watch-opened', jar.opened('chill-jar-9'), 4 * 1_440);
    const body = jar.misses('chill-jar-9', 100);
    const window = { ...body.window, limitC: 7 };
    expect(told.hear('chill-will-miss', { ...body, window }, 4 * 1_440 + 10)).toEqual([
      'first warn to milker by mail: 19',
    ]);
  });
});

describe('a way that fails', () => {
  const failed = {
    weight: 'tell',
    watch: null,
    way: 'bell',
    wayKind: 'command',
    why: 'exit code 1',
    instead: ['mail'] as string[],
  } as const;

  it('is told by the others and left out until it works', () => {
    const told = openTold(milker);
    expect(told.hear('way-failed', failed, 0)).toEqual(['first tell to milker by mail: 1']);
    expect(told.hear('probe-silent', probe.silent(), 1)).toEqual([
      'first warn to milker by mail: 2',
      'first warn to milker by page: 2',
    ]);
    const works = { weight: 'tell', watch: null, way: 'bell', wayKind: 'command', failedMs: 60_000 } as const;
    expect(told.hear('way-works', works, 2)).toEqual(['over tell to milker by bell: 3']);
  });

  it('hands its letters to the next way that does not have them', () => {
    const told = openTold(milker);
    told.hear('probe-silent', probe.silent(), 0);
    const [letter] = told.letters;
    if (letter === undefined) throw new Error('there must be a letter');
    expect(told.undelivered({ letter, onWays: ['bell', 'mail'] }, 1)).toEqual([
      'first warn to milker by page: 1',
    ]);
    expect(told.letters.at(-1)?.id).toBe(letter.id);
  });

  it('makes the next person hear at once where there is no other way', () => {
    const told = openTold({ ...milker, ways: ['bell'] }, neighbour);
    told.hear('probe-silent', probe.silent(), 0);
    const [letter] = told.letters;
    if (letter === undefined) throw new Error('there must be a letter');
    expect(told.undelivered({ letter, onWays: ['bell'] }, 1)).toEqual([
      'unseen warn to neighbour by hook: 1',
    ]);
  });
});

describe('ten thousand notices at once', () => {
  it('become twenty letters and one that counts the rest', () => {
    const told = openTold({ ...milker, ways: ['mail'] });
    const flood = Array.from({ length: 10_000 }, (_, index) => fridge.left(`keep-p${index}-1`));
    told.hearAll('keep-left', flood, 0);
    expect(told.letters).toHaveLength(20);
    told.pass(1);
    const many = told.letters.at(20);
    expect([many?.why, many?.weight, (many?.seqs.length ?? 0) + (many?.more ?? 0)]).toEqual([
      'many',
      'alarm',
      9_980,
    ]);
    expect(Object.keys(told.state.matters).length).toBeLessThanOrEqual(2_000);
  });
});

describe('a step of the clock', () => {
  it('neither hastens nor delays what is to come', () => {
    const told = openTold(milker, neighbour);
    told.hear('probe-silent', probe.silent(), 0);
    told.hear('clock-stepped', { deltaMs: 60 * minuteMs, known: true }, 5);
    expect(told.pass(69)).toEqual([]);
    expect(told.pass(70)).toEqual(['unseen warn to neighbour by hook: 1']);
  });
});
