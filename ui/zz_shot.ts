import { chromium } from "playwright-core";
const [url, theme, ...steps] = process.argv.slice(2);
const b = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--headless", "--no-sandbox", "--disable-gpu"] });
const c = await b.newContext({ viewport: { width: 1280, height: 720 }, colorScheme: theme as "light" });
const p = await c.newPage();
p.on("pageerror", (e) => console.log("ERR", e.message));
p.on("console", (m) => m.type() === "error" && console.log("CON", m.text()));
await p.goto(url!);
for (const s of steps) {
  const [k, ...r] = s.split(":");
  const v = r.join(":");
  const t = Date.now();
  if (k === "go") await p.goto(new URL(url!).origin + "/#" + v);
  if (k === "key") await p.keyboard.press(v);
  if (k === "type") await p.keyboard.type(v);
  if (k === "btn") await p.getByRole("button", { name: new RegExp(v) }).first().click({ timeout: 8000 });
  if (k === "text") await p.getByText(new RegExp(v)).first().waitFor({ timeout: 60000 });
  if (k === "wait") await p.waitForTimeout(Number(v));
  if (k === "shot") await p.screenshot({ path: v });
  console.log(s, Date.now() - t, "ms");
}
await b.close();
