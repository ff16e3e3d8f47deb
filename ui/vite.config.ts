import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vite";

export default defineConfig({
  plugins: [svelte()],
  // Relative, so that the page works from any base; nothing inlined as data:, so that the content security policy stays at 'self'.
  base: "./",
  build: { target: "es2022", assetsInlineLimit: 0, modulePreload: { polyfill: false }, chunkSizeWarningLimit: 400 },
  server: { proxy: { "/api": process.env["TAPEMEASURE_URL"] ?? "http://127.0.0.1:4750" } },
});
