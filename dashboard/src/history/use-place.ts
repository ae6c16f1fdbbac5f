import { useEffect, useRef, useState } from 'preact/hooks';
import { addressOfPlace, type HistoryPlace, placeOfAddress } from './view-span.ts';

/** How long a place must stand before the address takes it, ms: browsers refuse hundreds of changes a minute. */
const stillMs = 300;

/** What the history shows, kept in the page's address, so that it can be come back to and passed on. */
export function usePlace(): { place: HistoryPlace; go: (place: HistoryPlace) => void } {
  const [place, setPlace] = useState(() => placeOfAddress(location.hash));
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  useEffect(() => {
    const follow = () => {
      if (location.hash.startsWith('#history')) setPlace(placeOfAddress(location.hash));
    };
    window.addEventListener('hashchange', follow);
    return () => {
      clearTimeout(timer.current);
      window.removeEventListener('hashchange', follow);
    };
  }, []);
  const go = (next: HistoryPlace) => {
    setPlace(next);
    clearTimeout(timer.current);
    timer.current = setTimeout(() => history.replaceState(null, '', addressOfPlace(next)), stillMs);
  };
  return { place, go };
}
