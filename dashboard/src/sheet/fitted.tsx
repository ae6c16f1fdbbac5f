import type { ComponentChildren } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';

/** The sizes that a sentence may have: its own, and two steps down. */
const steps = ['0', '1', '2'];

/**
 * A line of large type. On a wide sheet it steps down to stay on one line, where that helps; anywhere it
 * steps down to break into two lines at most.
 */
export function Fitted({ children, name }: { children: ComponentChildren; name: string }) {
  const line = useRef<HTMLParagraphElement>(null);
  const [, measureAgain] = useState(0);
  useEffect(() => {
    const again = () => measureAgain((count) => count + 1);
    window.addEventListener('resize', again);
    void document.fonts.ready.then(again);
    return () => window.removeEventListener('resize', again);
  }, []);
  useLayoutEffect(() => {
    if (line.current !== null) fitLine(line.current);
  });
  return (
    <p class={name} ref={line}>
      {children}
    </p>
  );
}

function fitLine(element: HTMLElement): void {
  const lineCounts = steps.map((step) => {
    element.dataset.step = step;
    return Math.round(element.clientHeight / Number.parseFloat(getComputedStyle(element).lineHeight));
  });
  const wide = window.matchMedia('(min-width: 701px)').matches;
  const oneLine = wide ? lineCounts.indexOf(1) : -1;
  const twoLines = lineCounts.findIndex((count) => count <= 2);
  element.dataset.step = String([oneLine, twoLines].find((step) => step >= 0) ?? steps.length - 1);
}
