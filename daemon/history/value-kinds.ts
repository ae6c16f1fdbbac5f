/** Values as whole numbers, where they can be: sensors speak in steps. */

/** How values are told in a block; `numbers` are whole and run with the values. */
export type ValuesAsNumbers =
  | { kind: 'grid'; scale: number; numbers: Float64Array }
  | { kind: 'table'; table: Float64Array; numbers: Float64Array }
  | { kind: 'plain' };

/** Steps of known sensors and of decimal texts: 1/16 °C first, since most digital sensors speak it. */
const scales = [16, 100, 10, 1000, 128, 256, 10_000, 100_000] as const;
/** The most different values that a table holds; a block with more is told plainly. */
const tableMax = 4096;

/** Returns the coarsest telling from which every value comes back bit for bit. */
export function valuesAsNumbers(values: Float64Array): ValuesAsNumbers {
  for (const scale of scales) {
    const numbers = onGrid(values, scale);
    if (numbers !== null) return { kind: 'grid', scale, numbers };
  }
  return inTable(values) ?? { kind: 'plain' };
}

function onGrid(values: Float64Array, scale: number): Float64Array | null {
  const numbers = new Float64Array(values.length);
  for (let index = 0; index < values.length; index++) {
    const value = values[index] as number;
    const number = Math.round(value * scale);
    if (number / scale !== value) return null;
    numbers[index] = number;
  }
  return numbers;
}

function inTable(values: Float64Array): ValuesAsNumbers | null {
  const places = new Map<number, number>();
  for (const value of values) {
    places.set(value, 0);
    if (places.size > tableMax || places.size * 4 > values.length + 16) return null;
  }
  const table = Float64Array.from(places.keys()).sort();
  table.forEach((value, place) => {
    places.set(value, place);
  });
  return { kind: 'table', table, numbers: values.map((value) => places.get(value) as number) };
}
