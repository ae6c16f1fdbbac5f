import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { onPaletteChange, readPalette } from '../chart/palette.ts';
import { drawHistory, plotOf } from './draw-history.ts';
import { spanOfKey } from './gesture-spans.ts';
import { listenToGestures } from './gestures.ts';
import type { HistoryScene } from './history-scene.ts';
import type { ViewSpan } from './view-span.ts';

/** The least room of a plot that is drawn in, px. */
const plotPxMin = 60;

/**
 * The picture of a history, drawn at true pixels, with its pans and zooms. `label` is what a screen reader
 * speaks in its place; the keys are told in `keysText` beside it.
 */
export function HistoryPicture({
  bounds,
  label,
  onPoint,
  onSpan,
  onWidth,
  scene,
}: {
  bounds: { firstMs: number | null; nowMs: number };
  label: string;
  onPoint: (atMs: number | null) => void;
  onSpan: (span: ViewSpan) => void;
  /** Hears the width of the plot, px, at each change of size. */
  onWidth: (plotPx: number) => void;
  scene: HistoryScene;
}) {
  const host = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [size, setSize] = useState<{ width: number; height: number } | null>(null);
  const [turns, setTurns] = useState(0);
  const latest = useRef({ span: scene.span, size, onSpan, onPoint });
  latest.current = { span: scene.span, size, onSpan, onPoint };

  useLayoutEffect(() => {
    const element = host.current;
    if (element === null) return;
    const measure = () => setSize({ width: element.clientWidth, height: element.clientHeight });
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    measure();
    return () => observer.disconnect();
  }, []);
  useEffect(() => {
    if (size === null) return;
    const { left, right } = plotOf(size);
    onWidth(Math.max(plotPxMin, right - left));
  }, [size?.width]);
  useEffect(() => {
    const drawAgain = () => setTurns((count) => count + 1);
    void document.fonts.ready.then(drawAgain);
    return onPaletteChange(drawAgain);
  }, []);
  useEffect(() => {
    if (host.current === null) return;
    return listenToGestures(host.current, {
      span: () => latest.current.span,
      edges: () => plotOf(latest.current.size ?? { width: 400, height: 300 }),
      change: (span) => latest.current.onSpan(span),
      point: (atMs) => latest.current.onPoint(atMs),
    });
  }, []);
  useLayoutEffect(() => {
    const element = canvas.current;
    const ctx = element?.getContext('2d') ?? null;
    if (element === null || ctx === null || size === null || size.width === 0) return;
    const ratio = window.devicePixelRatio;
    element.width = Math.round(size.width * ratio);
    element.height = Math.round(size.height * ratio);
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    drawHistory({ ctx, palette: readPalette() }, scene, size);
  }, [scene, size, turns]);

  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const next = spanOfKey(event.key, scene.span, bounds);
    if (next === null) return;
    event.preventDefault();
    onSpan(next);
  };
  return (
    <figure class="picture history-picture">
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: the picture itself is panned and zoomed by keys */}
      <div class="canvas" ref={host} role="img" aria-label={label} tabIndex={0} onKeyDown={onKey}>
        <canvas ref={canvas} />
      </div>
    </figure>
  );
}
