// Makes the picture of the page's first screen that README.md shows, of the page as it was built: in Chromium, in the
// light design, as it opens. The fonts are those of the machine.
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { build, launch } from "./browsers.mjs";
import { openPage } from "./page.mjs";

const to = resolve(process.argv[2] ?? `${import.meta.dirname}/../../testdata/pictures/page.png`);
const browser = await launch("chromium");
try {
  const page = await openPage(browser, pathToFileURL(`${build}/nodespan.html`).href, { width: 1280, height: 880 });
  await page.solved();
  await page.tab.evaluate(() => document.activeElement.blur());
  await page.tab.screenshot({ path: to, type: "png" });
} finally {
  await browser.close();
}
