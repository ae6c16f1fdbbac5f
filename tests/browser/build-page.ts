import { build } from 'vite';

/** Builds the dashboard into a folder, which is emptied first; rejects where it does not build. */
export async function buildPage(outDir: string): Promise<void> {
  const root = new URL('../../dashboard', import.meta.url).pathname;
  await build({ root, logLevel: 'warn', build: { outDir, emptyOutDir: true } });
}
