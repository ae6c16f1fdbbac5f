/** QR codes (ISO/IEC 18004), for a phone's camera. */
import qrcode from 'qrcode-generator';

/** Light modules around a code, as the standard asks. */
const quietModules = 4;

/** Returns the code of a text as rows of `#` (dark) and `.`, without the quiet zone. */
export function qrRows(text: string): string[] {
  // The lowest of four levels of repair: a screen has no dirt, and fewer modules are larger ones.
  const code = qrcode(0, 'L');
  code.addData(text);
  code.make();
  const size = code.getModuleCount();
  return Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => (code.isDark(row, column) ? '#' : '.')).join(''),
  );
}

/**
 * Returns the rows of a code as lines for a terminal, two rows a line by half blocks, quiet zone and all. It
 * sets both colours, since a phone reads dark on light only.
 */
export function qrLines(rows: readonly string[]): string[] {
  const width = rows.length + 2 * quietModules;
  const blank = '.'.repeat(width);
  const side = '.'.repeat(quietModules);
  const around = Array.from({ length: quietModules }, () => blank);
  const padded = [...around, ...rows.map((row) => `${side}${row}${side}`), ...around];
  const lines: string[] = [];
  for (let row = 0; row < padded.length; row += 2) {
    const [upper = blank, lower = blank] = [padded[row], padded[row + 1]];
    const cells = [...upper].map((dark, column) => halfBlock(dark === '#', lower[column] === '#'));
    lines.push(`\u001b[30;107m${cells.join('')}\u001b[0m`);
  }
  return lines;
}

function halfBlock(upper: boolean, lower: boolean): string {
  if (upper) return lower ? '█' : '▀';
  return lower ? '▄' : ' ';
}
