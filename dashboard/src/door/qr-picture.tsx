/** Light modules around a code, as the standard asks. */
const quiet = 4;

/** Draws a QR code from rows of `#` and `.`: dark on light in every theme, since cameras want it so. */
export function QrPicture({ label, rows }: { label: string; rows: readonly string[] }) {
  const size = rows.length + 2 * quiet;
  const dark = rows.flatMap((row, y) =>
    [...row].flatMap((sign, x) => (sign === '#' ? [`M${x + quiet} ${y + quiet}h1v1h-1z`] : [])),
  );
  return (
    <svg
      class="qr"
      viewBox={`0 0 ${size} ${size}`}
      role="img"
      aria-label={label}
      shape-rendering="crispEdges"
    >
      <rect class="light" width={size} height={size} />
      <path class="dark" d={dark.join('')} />
    </svg>
  );
}
