import { useEffect, useState } from 'preact/hooks';
import { type PageId, pageOfAddress } from './page-names.tsx';

/** The page that the address asks for, followed as it changes; a new page begins at its top. */
export function usePage(): PageId {
  const [page, setPage] = useState(() => pageOfAddress(location.hash));
  useEffect(() => {
    const follow = () => {
      const next = pageOfAddress(location.hash);
      setPage((before) => {
        if (next !== before) window.scrollTo(0, 0);
        return next;
      });
    };
    window.addEventListener('hashchange', follow);
    return () => window.removeEventListener('hashchange', follow);
  }, []);
  return page;
}
