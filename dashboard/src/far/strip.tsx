import type { Scene } from '../chart/scene.ts';
import { cellSpanMs, multiplesBetween, zeroOf } from '../chart/steps.ts';
import type { Span } from '../feed/curve.ts';

/** How wide the strip is on the screen that it is made for, px. */
const stripPx = 1184;

/** The chequered border of a chart alone, large: the window, the post, now, and the crossing with its interval. */
export function Strip({ label, scene }: { label: string; scene: Scene }) {
  const { crossing, fromMs, heard, now, toMs, window } = scene;
  // Seen from across a kitchen, a cell is as wide as two on a page.
  const cellMs = cellSpanMs(toMs - fromMs, stripPx / 2);
  const at = (ms: number) => `${((ms - fromMs) / (toMs - fromMs)) * 100}%`;
  const box = (span: Span) => {
    const from = Math.max(span.fromMs, fromMs);
    const width = Math.min(span.toMs, toMs) - from;
    return width <= 0 ? null : { left: at(from), width: `${(width / (toMs - fromMs)) * 100}%` };
  };
  const nowMs = now?.atMs ?? fromMs;
  const cells = multiplesBetween(
    { fromMs: fromMs - 2 * cellMs, toMs },
    { stepMs: 2 * cellMs, zeroMs: zeroOf(scene) },
  );
  const ahead = cells.map((ms) => box({ fromMs: Math.max(ms, nowMs), toMs: ms + cellMs }));
  const past = cells.flatMap((ms) =>
    heard.map((span) =>
      box({ fromMs: Math.max(ms, span.fromMs), toMs: Math.min(ms + cellMs, span.toMs, nowMs) }),
    ),
  );
  const seen = crossing !== null && crossing.atMs <= toMs;
  return (
    <div class="strip" role="img" aria-label={label}>
      {window !== null && <div class="ground" style={box(window) ?? {}} />}
      <div class="border">
        {ahead.map((cell) => cell && <span class="ahead" key={`a${cell.left}`} style={cell} />)}
        {past.map((cell) => cell && <span class="heard" key={`h${cell.left}`} style={cell} />)}
      </div>
      {window !== null && (
        <div class="post" style={{ left: at(window.toMs) }}>
          <span>{window.names[0]}</span>
        </div>
      )}
      {now !== null && (
        <div class="now" style={{ left: at(now.atMs) }}>
          now
        </div>
      )}
      {seen &&
        crossing.kind === 'forecast' &&
        [crossing.lowMs, crossing.highMs].map(
          (ms) => ms !== null && ms <= toMs && <div class="whisker" key={ms} style={{ left: at(ms) }} />,
        )}
      {seen && (
        <div class="crossing" style={{ left: at(crossing.atMs) }}>
          <b>{crossing.kind === 'forecast' ? <i>{crossing.text}</i> : crossing.text}</b>
        </div>
      )}
    </div>
  );
}
