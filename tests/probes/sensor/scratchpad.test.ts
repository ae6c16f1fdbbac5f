import { describe, expect, test } from 'vitest';
import { crc8 } from '../../../probes/sensor/crc8.ts';
import { parseScratchpad } from '../../../probes/sensor/scratchpad.ts';

const bytesOf = (hex: string) => Uint8Array.from(hex.split(' '), (byte) => Number.parseInt(byte, 16));

/** Nine bytes of a DS18B20 at 12 bit with this raw value, byte 6 as after a measurement, and their checksum. */
function scratchpadOf(raw: number, { config = 0x7f, byte6 = 0x10 } = {}): Uint8Array {
  const bytes = Uint8Array.of(raw & 0xff, (raw >> 8) & 0xff, 0x4b, 0x46, config, 0xff, byte6, 0x10);
  return Uint8Array.of(...bytes, crc8(bytes));
}

describe('the checksum', () => {
  test('is that of the published check strings', () => {
    // CRC-8 with this polynomial, the usual check string: computed; no single source.
    expect(crc8(new TextEncoder().encode('123456789'))).toBe(0xa1);
    // Maxim application note 27, the worked example of a ROM; from memory.
    expect(crc8(bytesOf('02 1c b8 01 00 00 00'))).toBe(0xa2);
    expect(crc8(new Uint8Array(8))).toBe(0);
  });
});

describe('a scratchpad of a DS18B20', () => {
  // The first two are dumps seen in many public places, the others follow from the data sheet's formula.
  test.each([
    ['72 01 4b 46 7f ff 0e 10 57', 23.125],
    // Linux cuts 25812.5 m°C to 25812 in its own text.
    ['9d 01 4b 46 7f ff 03 10 57', 25.8125],
    ['f8 ff 4b 46 7f ff 08 10 f8', -0.5],
    ['5e ff 4b 46 7f ff 02 10 b6', -10.125],
  ])('%s is %f °C', (hex, tempC) => {
    expect(parseScratchpad(bytesOf(hex), '28')).toEqual({ tempC, isConverted: true });
  });

  test('may hold the mark of power-up in byte 6 at any other temperature', () => {
    expect(parseScratchpad(bytesOf('40 00 4b 46 7f ff 0c 10 81'), '28')).toEqual({
      tempC: 4,
      isConverted: false,
    });
  });

  // DS18B20 data sheet, table of temperatures and data (from memory, and by its formula).
  test.each([
    [0x07d0, 125],
    [0x0550, 85],
    [0x0191, 25.0625],
    [0x00a2, 10.125],
    [0x0008, 0.5],
    [0x0000, 0],
    [0xfff8, -0.5],
    [0xff5e, -10.125],
    [0xfe6f, -25.0625],
    [0xfc90, -55],
  ])('reads %i as %f °C in each family of its kin', (raw, tempC) => {
    for (const family of ['22', '28', '3b', '42'] as const) {
      expect(parseScratchpad(scratchpadOf(raw), family)).toEqual({ tempC, isConverted: true });
    }
  });

  test('leaves out the bits that its resolution does not measure', () => {
    // DS18B20 data sheet: bits 2 to 0 are undefined at 9 bit, 1 to 0 at 10, 0 at 11; config 1f, 3f, 5f.
    for (const [config, tempC] of [
      [0x1f, 10.5],
      [0x3f, 10.75],
      [0x5f, 10.875],
      [0x7f, 10.9375],
    ] as const) {
      expect(parseScratchpad(scratchpadOf(0x00af, { config }), '28')).toEqual({ tempC, isConverted: true });
    }
    expect(parseScratchpad(scratchpadOf(0xffff, { config: 0x1f }), '28')).toEqual({
      tempC: -0.5,
      isConverted: true,
    });
  });

  test('is refused where it shows power-up, too little power or what no chip can', () => {
    // Linux drivers/w1/slaves/w1_therm.c, convert_t: byte 6 is 0x0c with 85.00 or 127.94 °C.
    expect(parseScratchpad(bytesOf('50 05 4b 46 7f ff 0c 10 1c'), '28')).toEqual({
      code: 'SENSOR_FAULT',
      rule: 'must show a measured value, got the 85 °C of its power-up',
      advice: 'Look at its supply and plug.',
    });
    expect(parseScratchpad(bytesOf('ff 07 4b 46 7f ff 0c 10 a6'), '28')).toEqual({
      code: 'SENSOR_FAULT',
      rule: 'must show -55 to 125 °C, got 127.9375',
      advice: 'The sensor has too little power: look at its supply.',
    });
    expect(parseScratchpad(scratchpadOf(-127 * 16), '28')).toEqual({
      code: 'SENSOR_FAULT',
      rule: 'must show -55 to 125 °C, got -127',
      advice: 'The sensor is not connected or broken: look at its plug and cable.',
    });
  });

  test('is refused where its checksum does not fit', () => {
    // A public dump of a sensor that is not there: Linux itself shows crc=c9 NO.
    expect(parseScratchpad(bytesOf('ff ff ff ff ff ff ff ff ff'), '28')).toEqual({
      code: 'SENSOR_CRC',
      rule: 'must answer with the checksum c9, got ff',
      advice: 'Look at its cable: length, joints, the pull-up resistor.',
    });
    // An error in circulation: this dump is printed with 57, but its bytes have the checksum 3c.
    expect(parseScratchpad(bytesOf('7d 01 4b 46 7f ff 0c 10 57'), '28')).toEqual({
      code: 'SENSOR_CRC',
      rule: 'must answer with the checksum 3c, got 57',
      advice: 'Look at its cable: length, joints, the pull-up resistor.',
    });
  });

  test('is refused for any single bit that is wrong', () => {
    const good = bytesOf('72 01 4b 46 7f ff 0e 10 57');
    for (let bit = 0; bit < 72; bit++) {
      const bad = good.slice();
      bad[bit >> 3] = (bad[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      expect(parseScratchpad(bad, '28'), `bit ${bit}`).toMatchObject({ code: 'SENSOR_CRC' });
    }
  });

  test('is refused where it is zeros alone, whose checksum fits', () => {
    for (const family of ['10', '28'] as const) {
      expect(parseScratchpad(new Uint8Array(9), family)).toEqual({
        code: 'SENSOR_FAULT',
        rule: 'must answer more than zeros, got nine',
        advice: 'The data line is shorted: look at its cable.',
      });
    }
  });

  test('is refused where bytes are missing', () => {
    expect(parseScratchpad(bytesOf('72 01 4b 46 7f ff 0e 10'), '28')).toEqual({
      code: 'SENSOR_FAULT',
      rule: 'must answer nine bytes, got 8',
      advice: 'Look at its cable.',
    });
  });
});

describe('a scratchpad of a DS18S20', () => {
  const of = (low: number, high: number, remain: number, perC = 16) => {
    const bytes = Uint8Array.of(low, high, 0x4b, 0x46, 0xff, 0xff, remain, perC);
    return parseScratchpad(Uint8Array.of(...bytes, crc8(bytes)), '10');
  };

  test('is made finer by its counts', () => {
    // Linux w1_DS18S20_convert_temp; DS18S20 data sheet: T = read - 0.25 + (per °C - remain) / per °C.
    expect(of(0x32, 0x00, 0x0c)).toEqual({ tempC: 25, isConverted: null });
    expect(of(0x32, 0x00, 0x01)).toEqual({ tempC: 25.6875, isConverted: null });
    expect(of(0xff, 0xff, 0x0c)).toEqual({ tempC: -1, isConverted: null });
    expect(of(0x92, 0xff, 0x0c)).toEqual({ tempC: -55, isConverted: null });
    // Its power-up value is 85 °C with these very counts, so only its neighbours can tell.
    expect(of(0xaa, 0x00, 0x0c)).toEqual({ tempC: 85, isConverted: null });
  });

  test('is refused where its count per °C is nothing', () => {
    expect(of(0x32, 0x00, 0x0c, 0)).toEqual({
      code: 'SENSOR_FAULT',
      rule: 'must answer with a count per °C, got 0',
      advice: 'Look at its cable.',
    });
  });
});
