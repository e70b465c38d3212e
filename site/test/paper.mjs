// The page on paper: a PDF of every demonstration, read back.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { demos } from "./layout.mjs";
import { inPage, until } from "./page.mjs";

const words = (text) => text.replace(/\s+/g, " ");

// printed prints a page, and returns the text of each sheet of paper and the sizes of its letters in points.
async function printed(page) {
  const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
  try {
    const file = join(folder, "page.pdf");
    writeFileSync(file, await page.tab.pdf({ format: "a4" }));
    const pages = execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" }).split("\f");
    // pdftohtml (of the same package) lists the sizes that it came upon, in pixels of which it makes at most three to
    // the point, in whole numbers.
    const listed = execFileSync("pdftohtml", ["-xml", "-i", "-zoom", "3", "-stdout", file], { encoding: "utf8" });
    const sizes = [...listed.matchAll(/<fontspec id="\d+" size="(\d+)"/g)].map(([, size]) => Number(size) / 3);
    return { pages: pages.slice(0, -1).map(words), sizes };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

export function paper(at) {
  test("every demonstration is whole on paper: letters of 7 points, answer and figure on one page", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => (document.getElementById("working").open = false)); // another may have left it open
      for (const { name, sheet } of demos) {
        await page.solved(() => page.paste(sheet));
        await until(page.tab, "the ladder, and all of it drawn for paper", () => {
          const told = document.getElementById("ladder-text");
          const last = (name) => performance.getEntriesByName("nodespan-" + name).at(-1)?.startTime ?? 0;
          return told.textContent !== "" && !told.classList.contains("awaited") &&
            last("paper") > Math.max(last("redraw"), last("ladder"));
        });
        const shown = await page.tab.evaluate(() => ({
          rows: [...document.querySelectorAll("#node-table tbody tr")].map((tr) => tr.cells[0].textContent),
          digits: document.querySelector("#answer .headline .number").textContent,
          told: document.getElementById("ladder-text").textContent,
          line: document.getElementById("sheet").value.trimEnd().split("\n").at(-1),
        }));
        const { pages, sizes } = await printed(page);
        const all = pages.join(" ");
        for (const row of shown.rows) assert.ok(all.includes(row), `${name}: the row ${row}`);
        assert.ok(all.includes(words(shown.line)), `${name}: ${shown.line}`);
        assert.ok(all.includes(shown.told.split(" ").slice(0, 4).join(" ")), `${name}: ${shown.told}`);
        const [front] = pages;
        assert.ok(words(front).includes(words(shown.digits)) && front.includes("residual"), `${name}: one page`);
        assert.match(all, /unknowns/, `${name}: the ladder is drawn`);
        assert.match(pages.at(-1), /For teaching and checking/, `${name}: the caution at the foot`);
        assert.ok(pages.length <= (name === "wall-in-the-sun" ? 2 : 3), `${name}: ${pages.length} pages`);
        assert.ok(sizes.length > 3 && Math.min(...sizes) >= 7, `${name}: letters of ${Math.min(...sizes)} points`);
      }
    }, {}));
}
