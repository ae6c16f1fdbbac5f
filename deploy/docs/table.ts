/** A Markdown table laid out as the formatter lays it out, so that generated pages need no second pass. */

/** Lines of a table, every row as long as its head; `|` in a cell is escaped. */
export function tableLines(head: readonly string[], rows: readonly (readonly string[])[]): string[] {
  const cells = [head, ...rows].map((row) => row.map((text) => text.replaceAll('|', '\\|')));
  const widths = head.map((_, column) => Math.max(3, ...cells.map((row) => lengthOf(row[column] ?? ''))));
  const [first = '', ...rest] = cells.map((row) =>
    line(widths.map((width, column) => padded(row[column] ?? '', width))),
  );
  return [first, line(widths.map((width) => '-'.repeat(width))), ...rest];
}

function line(cells: readonly string[]): string {
  return `| ${cells.join(' | ')} |`;
}

function padded(text: string, width: number): string {
  return text + ' '.repeat(width - lengthOf(text));
}

function lengthOf(text: string): number {
  return [...text].length;
}
