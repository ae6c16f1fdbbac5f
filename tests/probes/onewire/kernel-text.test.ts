import { describe, expect, test } from 'vitest';
import { parseSlaveFile, parseTemperatureFile } from '../../../probes/onewire/kernel-text.ts';

const good = '72 01 4b 46 7f ff 0e 10 57';

describe('a w1_slave file', () => {
  test('gives the value of its first line', () => {
    // Linux Documentation/w1/slaves/w1_therm.rst: the bytes, their checksum and YES; then t= in m°C.
    const text = `${good} : crc=57 YES\n${good} t=23125\n`;
    expect(parseSlaveFile(text, '28')).toEqual({ tempC: 23.125, isConverted: true });
  });

  test('does not believe a t= that differs from the bytes', () => {
    // An error in circulation: these bytes printed with t=21437. The checksum covers the bytes.
    expect(parseSlaveFile(`${good} : crc=57 YES\n${good} t=21437\n`, '28')).toEqual({
      tempC: 23.125,
      isConverted: true,
    });
  });

  test('is refused on NO, though its second line shows an earlier answer that was good', () => {
    const none = 'ff ff ff ff ff ff ff ff ff';
    expect(parseSlaveFile(`${none} : crc=c9 NO\n${good} t=23125\n`, '28')).toEqual({
      code: 'SENSOR_CRC',
      rule: `must answer with a checksum that fits, got ${none}`,
      advice: 'Look at its cable: length, joints, the pull-up resistor.',
    });
  });

  test('is refused on YES where the checksum, made again, does not fit', () => {
    const bad = '7d 01 4b 46 7f ff 0c 10 57';
    expect(parseSlaveFile(`${bad} : crc=57 YES\n${bad} t=23812\n`, '28')).toMatchObject({
      code: 'SENSOR_CRC',
    });
  });

  test('is refused wherever its first line is cut, and never gives another value', () => {
    const text = `${good} : crc=57 YES\n${good} t=23125\n`;
    const lineEnd = text.indexOf('\n');
    for (let cut = 0; cut < text.length; cut++) {
      const value = parseSlaveFile(text.slice(0, cut), '28');
      if (cut < lineEnd) expect(value, `cut at ${cut}`).toMatchObject({ code: 'SENSOR_FAULT' });
      else expect(value, `cut at ${cut}`).toEqual({ tempC: 23.125, isConverted: true });
    }
  });

  test('is refused with junk before or after the first line', () => {
    for (const text of [
      `x${good} : crc=57 YES`,
      `${good} : crc=57 YESx`,
      `\n${good} : crc=57 YES`,
      'x',
      '',
    ]) {
      expect(parseSlaveFile(text, '28')).toEqual({
        code: 'SENSOR_FAULT',
        rule: 'must be shown as nine bytes and a checksum, got other text',
        advice: 'Look at the kernel driver.',
      });
    }
  });
});

describe('a temperature file', () => {
  test.each([
    ['23125\n', 23.125],
    ['-62\n', -0.062],
    ['0', 0],
    ['125000', 125],
    ['-55000', -55],
  ])('%j is %f °C', (text, tempC) => {
    expect(parseTemperatureFile(text)).toEqual({ tempC, isConverted: null });
  });

  test('waits where it is empty', () => {
    expect(parseTemperatureFile('')).toBeNull();
    expect(parseTemperatureFile('\n')).toBeNull();
  });

  test.each(['127937', '127940', '-127000', '125001', '-55001', '9999999'])('%s is refused', (text) => {
    expect(parseTemperatureFile(text)).toMatchObject({
      code: 'SENSOR_FAULT',
      rule: `must show -55 to 125 °C, got ${Number(text) / 1000}`,
    });
  });

  test.each(['23.125', '23125 x', 'NaN', '0x10', '12345678', '1e3'])(
    '%j is refused as other text',
    (text) => {
      expect(parseTemperatureFile(text)).toEqual({
        code: 'SENSOR_FAULT',
        rule: 'must be shown as thousandths of a °C, got other text',
        advice: 'Look at the kernel driver.',
      });
    },
  );
});
