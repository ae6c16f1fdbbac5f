/** The colours of the sheet, as the canvas needs them. */

const tokens = ['paper', 'ink', 'soft', 'rule', 'land', 'cold', 'warm', 'band', 'ice'] as const;

export type Palette = Record<(typeof tokens)[number], string>;

/** Reads the colours in force from the style sheet's tokens. */
export function readPalette(): Palette {
  const style = getComputedStyle(document.documentElement);
  const palette: Partial<Palette> = {};
  for (const token of tokens) palette[token] = style.getPropertyValue(`--${token}`).trim();
  return palette as Palette;
}

/** Calls back when the colours may have changed: the system's scheme, paper, or the page's own choice. Returns the end of it. */
export function onPaletteChange(changed: () => void): () => void {
  const asked = ['(prefers-color-scheme: dark)', 'print'].map((query) => matchMedia(query));
  const chosen = new MutationObserver(changed);
  for (const query of asked) query.addEventListener('change', changed);
  chosen.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
  return () => {
    for (const query of asked) query.removeEventListener('change', changed);
    chosen.disconnect();
  };
}
