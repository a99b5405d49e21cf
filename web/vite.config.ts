// Builds the screens into web/dist, which the program takes in when it is compiled.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

// `npm run dev` beside a running `headroom bench --no-open`: the bench answers to its own address alone, so the
// requests that are handed on carry it.
const bench = process.env.HEADROOM_BENCH ?? 'http://127.0.0.1:8787';

export default defineConfig({
  plugins: [svelte()],
  build: { target: 'es2022', sourcemap: false },
  server: {
    proxy: { '/api': { target: bench, changeOrigin: true, headers: { origin: bench } } },
  },
});
