import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

/** Where the program serves, for `npm run dev`; it answers only calls that name its own address. */
const program = process.env["TAPEMEASURE_URL"] ?? "http://127.0.0.1:4750";

export default defineConfig({
  plugins: [svelte()],
  // Relative, so that the page works from any base; nothing inlined as data:, so that the content security policy stays at 'self'.
  base: "./",
  build: { target: "es2022", assetsInlineLimit: 0, modulePreload: { polyfill: false }, chunkSizeWarningLimit: 400 },
  server: { proxy: { "/api": { target: program, changeOrigin: true, headers: { origin: program } } } },
});
