// Measures what a user feels, and prints a table:
//
//	node site/test/measure.mjs      (make measure builds first what it needs)
//
// - the size of the one-file page and of the packed WebAssembly;
// - from opening the file to the first answer drawn, cold and warm;
// - from a keystroke after a rest to the redrawn figure, for a linear sheet on twenty nodes;
// - the solve alone on 10, 64 and 200 nodes, natively and as WebAssembly under Node.
//
// Times are medians. A machine that does other work at the same time makes them longer.
import { execFileSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { launch, names } from "./browsers.mjs";
import { openPage } from "./page.mjs";

const root = resolve(import.meta.dirname, "../..");
const built = (name) => join(root, "build", name);
// A stove-pipe fin, linear; digits typed at its end change the room's temperature by ever less.
const linear = "T'' = 9 (T - T_r)\nT(0) = 180\nT'(1) = 0\nT_r = 20.";

const median = (times) => times.toSorted((a, b) => a - b)[times.length >> 1];
const row = (what, value) => console.log(`| ${what} | ${value} |`);
const kilobytes = (n) => `${(n / 1000).toFixed(0)} kB`;
const ms = (t) => `${t < 1 ? t.toPrecision(2) : t < 100 ? t.toFixed(1) : t.toFixed(0)} ms`;

console.log("| what | measured |\n| --- | --- |");
row("nodespan.html", kilobytes(statSync(built("nodespan.html")).size));
row("nodespan.wasm, gzip", kilobytes(gzipSync(readFileSync(built("site/nodespan.wasm")), { level: 9 }).length));

for (const name of names) {
  const browser = await launch(name);
  try {
    const openings = [];
    for (let i = 0; i < 6; i++) {
      const page = await openPage(browser, pathToFileURL(built("nodespan.html")).href);
      await page.solved();
      openings.push(await page.tab.evaluate(() => performance.getEntriesByName("nodespan-first-answer")[0].startTime));
      await page.tab.close();
    }
    row(`${name}: open to first answer drawn, first time`, ms(openings[0]));
    row(`${name}: open to first answer drawn, again`, ms(median(openings.slice(1))));

    const page = await openPage(browser, pathToFileURL(built("nodespan.html")).href);
    await page.solved();
    await page.solved(async () => {
      await page.setMethod({ "method-name": "one", nodes: "20" });
      await page.paste(linear);
    });
    const strokes = [];
    for (let i = 0; i < 25; i++) {
      await new Promise((done) => setTimeout(done, 600));
        // the typing rests: the change after a rest is answered at once
      strokes.push(await page.keystroke(String((i % 9) + 1)));
    }
    row(`${name}: keystroke after a rest to redrawn figure, 20 nodes`,
      `${ms(median(strokes))} (longest of ${strokes.length}: ${ms(Math.max(...strokes))})`);
    await page.tab.close();
  } finally {
    await browser.close();
  }
}

// The solver's own benchmark, error estimate included; WebAssembly as Node runs it once it has warmed up.
const bench = (env, ...flags) => {
  const args = ["test", ...flags, "-run", "^$", "-bench", "Solve/nodes=(10|64|200)/case=linear", "-benchtime", "60x",
    "-count", "2", "./solver"];
  const out = execFileSync("go", args, { cwd: root, env: { ...process.env, ...env }, encoding: "utf8" });
  // Of the two rounds the later one counts.
  return new Map([...out.matchAll(/nodes=(\d+)\/case=linear\S*\s+\d+\s+(\S+) ns\/op/g)].map(([, nodes, ns]) => [nodes,
    ns / 1e6]));
};
if (!process.env.PAGE_ONLY) for (const [nodes, time] of bench({})) row(`linear solve on ${nodes} nodes, native`,
  ms(time));
if (!process.env.PAGE_ONLY) for (const [nodes, time] of bench({ GOOS: "js", GOARCH: "wasm" }, "-exec",
  join(root, ".ci/wasm-exec"))) row(`linear solve on ${nodes} nodes, WebAssembly`, ms(time));
