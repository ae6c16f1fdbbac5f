import { render } from 'preact';
import { Doorway } from './door/doorway.tsx';
import { FarView } from './far/far-view.tsx';
import { useHouse, useLocalClock } from './feed/use-house.ts';
import { HistoryPage } from './history/history-page.tsx';
import { usePage } from './sheet/use-page.ts';
import { Today } from './today/today.tsx';
import './style/fonts.css';
import './style/tokens.css';
import './style/sheet.css';
import './style/watch.css';
import './style/tables.css';
import './style/ways.css';
import './style/far.css';
import './style/notices.css';
import './style/door.css';
import './style/history.css';
import './style/plan.css';
import './style/print.css';

/** `?far` is for a screen across the kitchen: one watch, nothing to press. */
const far = new URLSearchParams(location.search).has('far');

function Page() {
  const day = { localMs: useLocalClock(), state: useHouse() };
  const page = usePage();
  if (far) return <FarView {...day} />;
  switch (page) {
    case 'today':
      return <Today {...day} />;
    case 'history':
      return <HistoryPage {...day} />;
    default:
      return page satisfies never;
  }
}

/** `?theme=light` or `?theme=dark` holds against what the system asks for, for a tablet on the kitchen wall. */
function chooseTheme(): void {
  const theme = new URLSearchParams(location.search).get('theme');
  if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
}

const sheet = document.getElementById('sheet');
if (sheet === null) throw new Error('index.html must have an element #sheet');
chooseTheme();
if (far) document.body.classList.add('far');
render(
  <Doorway>
    <Page />
  </Doorway>,
  sheet,
);
