import { type Browser, chromium, type Page } from "playwright-core";

/** Debian's browser unless `TAPEMEASURE_CHROMIUM` names another. A fresh profile per start. */
export function startBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: process.env["TAPEMEASURE_CHROMIUM"] ?? "/usr/bin/chromium",
    args: [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

export interface Watched {
  page: Page;
  /** What the page complained of; a test ends by asserting that it is empty. */
  complaints: string[];
}

export async function openPage(browser: Browser, url: string, theme: "light" | "dark" = "light"): Promise<Watched> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 720 }, colorScheme: theme });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("pageerror", (e) => complaints.push(e.message));
  page.on("console", (m) => {
    if (m.type() === "error") complaints.push(m.text());
  });
  await page.goto(url);
  return { page, complaints };
}
