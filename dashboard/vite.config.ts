import { defineConfig } from 'vite';

export default defineConfig({
  base: './',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    // The house answers with `default-src 'self'`, which refuses data: addresses.
    assetsInlineLimit: 0,
    modulePreload: false,
  },
});
