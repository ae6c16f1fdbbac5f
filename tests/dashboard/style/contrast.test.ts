import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const css = readFileSync(new URL('../../../dashboard/src/style/tokens.css', import.meta.url), 'utf8');

/** The tokens of each rule of the file, in its order: light, dark by the system, dark by choice. */
const themes = [...css.matchAll(/:root[^{]*\{([^}]*)\}/g)].map((rule) =>
  Object.fromEntries(
    [...(rule[1] ?? '').matchAll(/--([a-z-]+): (#[0-9a-f]{6})/g)].map((one) => [one[1], one[2]]),
  ),
);

function channels(hex: string): number[] {
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16));
}

/** Relative luminance, WCAG 2.2. */
function luminance(rgb: number[]): number {
  const [red = 0, green = 0, blue = 0] = rgb.map((channel) => {
    const share = channel / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** Contrast ratio, WCAG 2.2. */
function contrast(a: number[], b: number[]): number {
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

function mixed(over: number[], under: number[], share: number): number[] {
  return over.map((channel, index) => channel * share + (under[index] ?? 0) * (1 - share));
}

/** The least contrasts that the look asks for: name, ground, light, dark. */
const wanted: [string, string, number, number][] = [
  ['ink', 'paper', 14.4, 15.6],
  ['soft', 'paper', 6.7, 9.6],
  ['soft', 'land', 5.6, 5.6],
  ['soft', 'cold', 5.6, 5.6],
  ['ink', 'land', 12.2, 11.9],
  ['ink', 'cold', 12.0, 11.4],
  ['ink', 'warm', 11.5, 11.6],
  ['enamel', 'paper', 8.6, 7.7],
  ['on-enamel', 'enamel', 9.2, 7.7],
  ['on-plate', 'plate', 15.5, 15.6],
];

describe('the colours of the sheet', () => {
  const [light = {}, dark = {}, chosenDark = {}] = themes;

  it('are the same in the dark, whether the system or the page asks for it', () => {
    expect(chosenDark).toEqual(dark);
    expect(Object.keys(dark)).toEqual(Object.keys(light));
  });

  it.each(wanted)('keep %s on %s in contrast', (name, ground, inLight, inDark) => {
    for (const [theme, least] of [
      [light, inLight],
      [dark, inDark],
    ] as const) {
      const ratio = contrast(channels(theme[name] ?? ''), channels(theme[ground] ?? ''));
      expect(ratio).toBeGreaterThanOrEqual(least - 0.05);
    }
  });

  it('keep ink on the band in contrast', () => {
    for (const [theme, least] of [
      [light, 10.6],
      [dark, 9.5],
    ] as const) {
      const band = mixed(channels(theme.band ?? ''), channels(theme.paper ?? ''), 0.55);
      expect(contrast(channels(theme.ink ?? ''), band)).toBeGreaterThanOrEqual(least - 0.05);
    }
  });
});
