/**
 * Readings in InfluxDB line protocol (docs.influxdata.com/influxdb/v2/reference/syntax/line-protocol), as
 * the mirror sends them, with nanoseconds, which that format takes unless it is told otherwise.
 */
import type { Encoder, EncoderOptions } from './encoder.ts';

/** `temperature,house=H,probe=P celsius=4.5 1780000000123000000`, and `flags` as a whole number where any is set. */
export function encodeLineProtocol({ house }: EncoderOptions): Encoder {
  const head = `temperature,house=${escapeTag(house)},probe=`;
  return {
    head: () => '',
    rows: (readings) => {
      let text = '';
      for (const { atMs, probe, tempC, flags } of readings) {
        const more = flags === 0 ? '' : `,flags=${flags}i`;
        text += `${head}${escapeTag(probe)} celsius=${tempC}${more} ${nanosecondsOf(atMs)}\n`;
      }
      return text;
    },
    tail: () => '',
  };
}

function nanosecondsOf(atMs: number): string {
  return atMs === 0 ? '0' : `${atMs}000000`;
}

/** Commas, equal signs and spaces of a tag's value are escaped; a house or probe id holds no line break. */
function escapeTag(text: string): string {
  return /[,= ]/.test(text) ? text.replace(/[,= ]/g, (sign) => `\\${sign}`) : text;
}
