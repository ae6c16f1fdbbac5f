/** What an inspection reads off a house that runs. */
import type { Health, ProbeView } from '../../shared/contract/api.ts';
import type { OpenedView, PersonView } from '../../shared/contract/door.ts';
import type { WaysView } from '../../shared/contract/notify.ts';
import { type Finding, look, well, wrong } from './finding.ts';

/** What the house tells whether it can do its work, and how its wires are. */
export function inspectHealth({ faults, ok, sources }: Health): Finding[] {
  const own = ok
    ? well('house', 'it runs and keeps what it hears')
    : wrong('house', 'it runs and cannot keep what it hears', 'See what is wrong below, and the log.');
  return [
    own,
    ...faults.map((fault) => look('told', fault, 'The code stands in deploy/docs/faults.md.')),
    ...sources.map(({ id, state, why }) =>
      state === 'open'
        ? well(`wire ${id}`, why === '' ? state : why)
        : wrong(`wire ${id}`, why, 'Look at its device, cable or broker.'),
    ),
  ];
}

/** Whether each probe is heard, and what of it was refused. */
export function inspectProbes(probes: readonly ProbeView[]): Finding[] {
  return probes.map(({ counts, id, state }) => {
    const thing = `probe ${id}`;
    const refused = counts.refused > 0 ? `, ${counts.refused} refused` : '';
    if (state === 'never-heard') {
      return wrong(
        thing,
        `never heard${refused}`,
        'Look at its device and wire; springhouse probes shows what was refused and why.',
      );
    }
    if (state === 'silent')
      return wrong(thing, `silent${refused}`, 'Look at its battery, its radio and where it hangs.');
    return counts.refused > 0
      ? look(thing, `heard${refused}`, 'springhouse probes shows what was refused and why.')
      : well(thing, 'heard');
  });
}

/** Whether each way has brought a letter. */
export function inspectWays({ proved, ways }: WaysView): Finding[] {
  const each = ways.map(({ fault, failingSinceMs, id, provedAtMs }) => {
    const thing = `way ${id}`;
    if (failingSinceMs !== null)
      return wrong(thing, fault ?? 'letters do not leave by it', 'Mend it, then test it on the page.');
    return provedAtMs === null
      ? look(thing, 'never proved', 'Test it on the page.')
      : well(thing, 'has brought a letter');
  });
  if (proved) return each;
  return [
    ...each,
    look(
      'ways',
      'none but the page has brought a letter',
      'Name one in the house file and test it: a warning nobody hears is none.',
    ),
  ];
}

/** How the house stands open. */
export function inspectDoors(
  { brokers, faults, pages, secure }: OpenedView,
  people: readonly PersonView[],
): Finding[] {
  const trouble = faults.map((fault) => wrong('doors', fault, 'Mend it; the house tries again by itself.'));
  if (pages.length === 0) return [...trouble, well('doors', 'the house listens on this machine only')];
  const where = well('doors', `open at ${[...pages, ...brokers].join(', ')}`);
  const inside =
    people.length === 0
      ? [look('people', 'nobody is paired', 'springhouse people code')]
      : [well('people', people.map(({ id }) => id).join(', '))];
  const plain = secure
    ? []
    : [look('doors', 'what passes is not encrypted', 'Give a certificate: deploy/docs/security.md.')];
  return [...trouble, where, ...inside, ...plain];
}
