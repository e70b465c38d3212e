import { pathToFileURL } from "node:url";
import { launch } from "./browsers.mjs";
import { openPage, until } from "./page.mjs";
const [name, n, ...files] = process.argv.slice(2);
const times = new Map(files.map((f) => [f, []]));
const browser = await launch(name);
try {
  for (let i = 0; i < Number(n); i++) for (const f of files) {
    const page = await openPage(browser, pathToFileURL(f).href);
    await until(page.tab, "first", () => performance.getEntriesByName("nodespan-first-answer").length);
    times.get(f).push(await page.tab.evaluate(() => performance.getEntriesByName("nodespan-first-answer")[0].startTime));
    await page.tab.close();
  }
} finally { await browser.close(); }
for (const [f, t] of times) { t.sort((a, b) => a - b); console.log(name, f, "min", t[0].toFixed(0), "median", t[t.length >> 1].toFixed(0), "n", t.length); }
