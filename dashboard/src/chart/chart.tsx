import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { openPlot, type Plot } from './plot.ts';
import type { Scene } from './scene.ts';

type Size = { width: number; height: number };

/**
 * A chart as large as the style sheet makes its box, drawn at true pixels and again at each change of size.
 * `label` is the sentence that a screen reader speaks in its place.
 */
export function Chart({
  draw,
  kind,
  label,
}: {
  draw: (size: Size) => Scene;
  kind: 'full' | 'row';
  label: string;
}) {
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<Plot | null>(null);
  const size = useSize(host);
  useLayoutEffect(() => {
    if (host.current === null || size === null) return;
    const scene = draw(size);
    if (plot.current === null) plot.current = openPlot(host.current, scene);
    else plot.current.show(scene);
  });
  useEffect(() => () => plot.current?.close(), []);
  return (
    <figure class={`picture ${kind}`}>
      <div class="canvas" ref={host} role="img" aria-label={label} />
    </figure>
  );
}

function useSize(host: { current: HTMLDivElement | null }): Size | null {
  const [size, setSize] = useState<Size | null>(null);
  useLayoutEffect(() => {
    const element = host.current;
    if (element === null) return;
    const measure = () => setSize({ width: element.clientWidth, height: element.clientHeight });
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    measure();
    return () => observer.disconnect();
  }, []);
  return size !== null && size.width > 0 && size.height > 0 ? size : null;
}
