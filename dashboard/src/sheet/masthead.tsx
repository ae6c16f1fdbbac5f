import { useEffect } from 'preact/hooks';
import type { HouseView } from '../../../shared/contract/api.ts';
import { formatClock, formatDate } from '../../../shared/units/format.ts';
import { type PageId, PageNames } from './page-names.tsx';

/** The head of the sheet: whose house, what day and time it is there, and whether any of it is invented. */
export function Masthead({ house, nowMs, page }: { house: HouseView; nowMs: number; page?: PageId }) {
  useEffect(() => {
    document.title = `${house.name}, ${page ?? 'today'}`;
  }, [house.name, page]);
  return (
    <header>
      <h1 class="house">{house.name}</h1>
      {house.simulated && <span class="simulated">Simulated: an invented house</span>}
      {page !== undefined && <PageNames here={page} />}
      <span class="when">
        {!house.clockKnown && <b>clock not known</b>}
        <span class="soft">{formatDate(nowMs, house.zone)}</span>
        <time class="clock">{formatClock(nowMs, house.zone)}</time>
      </span>
    </header>
  );
}
