/** The pages of the sheet, in the order in which their names stand; one whose part does not exist is not here. */
export const pages = [
  { id: 'today', name: 'Today', address: '#today' },
  { id: 'history', name: 'History', address: '#history' },
] as const;

export type PageId = (typeof pages)[number]['id'];

/** The page that an address asks for; the day where it names none. */
export function pageOfAddress(hash: string): PageId {
  return pages.find(({ address }) => hash === address || hash.startsWith(`${address}?`))?.id ?? 'today';
}

/** The names of the pages: in the head of a wide sheet, in a bar at the foot of a phone. */
export function PageNames({ here }: { here: PageId }) {
  return (
    <nav class="pages" aria-label="Pages">
      {pages.map(({ id, name, address }) => (
        <a key={id} href={address} aria-current={id === here ? 'page' : undefined}>
          {name}
        </a>
      ))}
    </nav>
  );
}
