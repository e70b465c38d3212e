// Question and answer in one view, on every screen, for every demonstration; and that nothing moves while one types.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { test } from "node:test";
import { inPage, until } from "./page.mjs";

const folder = resolve(import.meta.dirname, "../../testdata/demos");
export const demos = readdirSync(folder).filter((name) => name.endsWith(".txt")).map((name) => ({
  name: name.slice(0, -4),
  sheet: readFileSync(join(folder, name), "utf8"),
}));

// places returns where elements lie in the window.
const places = (page, ...ids) => page.tab.evaluate((ids) => Object.fromEntries(ids.map((id) => {
  const { top, bottom, left, right } = document.querySelector(id).getBoundingClientRect();
  return [id, { top, bottom, left, right }];
})), ids);

// shifts begins to watch, and returns what ends it and tells the sum of how far blocks in the window moved from frame
// to frame: the share of the window that they cover, before and after, times the share that they moved by. (It is the
// measure of the Layout Instability draft of the W3C's incubator group, for blocks of this page, as not every browser
// has it.)
async function shifts(page) {
  await page.tab.evaluate(() => {
    const blocks = "#sheet, #reading, #answer, #method, #figure, #residual, .figure-controls, .asks, #ladders, #tables";
    const look = () => [...document.querySelectorAll(blocks)].map((e) => e.getBoundingClientRect());
    watch.shift = 0;
    watch.moves = [];
    let before = look();
    const seen = (r) => Math.max(0, Math.min(r.bottom, innerHeight) - Math.max(r.top, 0)) * r.width;
    const step = () => {
      const now = look();
      let covered = 0;
      let far = 0;
      now.forEach((r, i) => {
        const was = before[i];
        if (!r.height || !was.height || Math.abs(r.top - was.top) < 3) return;
        covered += Math.max(seen(r), seen(was));
        if (seen(r) || seen(was)) far = Math.max(far, Math.abs(r.top - was.top));
      });
      if (far > 0) watch.moves.push([far, covered]);
      watch.shift += Math.min(covered / (innerWidth * innerHeight), 1) * Math.min(far / innerHeight, 1);
      before = now;
      if (watch.shift !== undefined) watch.next = requestAnimationFrame(step);
    };
    watch.next = requestAnimationFrame(step);
  });
  return () => page.tab.evaluate(() => {
    cancelAnimationFrame(watch.next);
    return { sum: watch.shift, moves: JSON.stringify(watch.moves) };
  });
}

// typed types a text as a person does who waits for what it does after each key.
async function typed(page, text) {
  for (const key of text) {
    await page.tab.keyboard.press(key === "\n" ? "Enter" : key);
    await until(page.tab, "the page to rest",
      () => document.getElementById("answer").getAttribute("aria-busy") === "false");
  }
}

export function layout(at) {
  for (const [what, size] of [
    ["1366 × 768", { width: 1366, height: 768 }],
    ["1920 × 1080 at 150 %", { width: 1280, height: 720, scale: 1.5 }],
  ]) {
    test(`the answer and the whole figure are in one view on ${what}, for every demonstration`, () =>
      inPage(at, async (page) => {
        for (const { name, sheet } of demos) {
          await page.solved(() => page.paste(sheet));
          await page.tab.evaluate(() => scrollTo(0, 0));
          const is = await places(page, "#answer .headline", "#sheet", "#figure", "#residual");
          assert.ok(is["#answer .headline"].top >= 0 && is["#residual"].bottom <= size.height,
            `${name}: ${JSON.stringify(is)}`);
          assert.ok(is["#sheet"].right < is["#figure"].left, `${name}: side by side`);
          const figure = is["#residual"].bottom - is["#figure"].top;
          assert.ok(figure >= 240 && figure <= size.height / 2 + 1, `${name}: the figure is ${figure} high`);
        }
      }, size));
  }

  test("on a phone the answer is in view while the sheet is written in, and the figure begins soon", () =>
    inPage(at, async (page) => {
      for (const { name, sheet } of demos) {
        await page.tab.setViewport({ width: 390, height: 844 });
        await page.solved(() => page.paste(sheet));
        await page.tab.evaluate(() => {
          document.activeElement.blur();
          scrollTo(0, 0);
        });
        await until(page.tab, "the figure to have its place",
          () => document.getElementById("figure").getBoundingClientRect().top < 1.3 * 844);
        // The keyboard takes 300 pixels.
        await page.tab.setViewport({ width: 390, height: 544 });
        await page.tab.focus("#sheet");
        const said = await until(page.tab, "the answer in one line", () => {
          const line = document.getElementById("brief");
          const { top, bottom } = line.getBoundingClientRect();
          return bottom > top && top >= 0 && bottom <= innerHeight && line.scrollHeight <= line.clientHeight + 1 &&
            line.textContent;
        });
        assert.equal(said, await page.tab.evaluate(() => document.querySelector("#answer .headline").textContent),
          name);
        await page.tab.evaluate(() => document.activeElement.blur());
      }
    }, { width: 390, height: 844 }));

  test("on a phone the sheet stands without its remarks until it is written in", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => document.activeElement.blur());
      const visible = () => page.tab.evaluate(() => document.getElementById("gist").getClientRects().length > 0);
      assert.ok(await visible());
      const gist = await page.text("gist");
      assert.ok(!gist.includes("#") && gist.includes("T(0) = 9"), gist);
      await page.press("#sheet");
      await until(page.tab, "the whole sheet", () => document.getElementById("gist").getClientRects().length === 0 &&
        document.activeElement.id === "sheet");
      await until(page.tab, "its first statement in sight", () => {
        const [area, first] = ["#sheet", "#mirror"].map((id) => document.querySelector(id).getBoundingClientRect());
        const statement = [...document.querySelectorAll("#mirror span")].find((n) => n.textContent.startsWith("k = "));
        const { top, bottom } = statement.getBoundingClientRect();
        return first.top === area.top && top >= area.top - 1 && bottom <= area.bottom + 1;
      });
      await page.faulted(() => page.paste("y'' = 1/2x\ny(0) = 0\ny(1) = 1"));
      await page.tab.evaluate(() => document.activeElement.blur());
      assert.ok(!(await visible()), "a sheet with a fault stands as it is");
    }, { width: 390, height: 844 }));

  test("on 320 pixels a point with its value and the headline's number are whole, a long sheet in its place", () =>
    inPage(at, async (page) => {
      for (const { name, sheet } of demos) {
        await page.solved(() => page.paste(sheet));
        const { cell, box, lines } = await page.tab.evaluate(() => ({
          cell: Math.max(...[...document.querySelectorAll("#node-table td:nth-child(2)")].map(
            (td) => td.getBoundingClientRect().right)),
          box: document.getElementById("table-scroll").getBoundingClientRect().right,
          lines: [...document.querySelectorAll("#answer .headline .number")].map((n) => n.getClientRects().length),
        }));
        assert.ok(cell <= box + 1, `${name}: a value ends at ${cell}, the table at ${box}`);
        assert.ok(lines.every((n) => n === 1), `${name}: the number is on ${lines} lines`);
      }
      await page.solved(() => page.paste("y'' = y\ny(0) = 0\ny(1) = 1\n" + "report y(0.5)\n".repeat(30)));
      await page.tab.evaluate(() => document.activeElement.blur());
      const is = await places(page, "#gist", ".paper", "#my-sheets");
      assert.ok(is["#gist"].bottom <= is[".paper"].bottom + 1 && is[".paper"].bottom <= is["#my-sheets"].top + 1,
        JSON.stringify(is));
    }, { width: 320, height: 640 }));

  for (const [width, height] of [[1366, 768], [1280, 720], [800, 900], [390, 844], [320, 640]]) {
    test(`little moves while one types, ${width} pixels wide`, () =>
      inPage(at, async (page) => {
        await page.rested();
        await page.tab.evaluate(() => {
          const area = document.getElementById("sheet");
          area.focus();
          area.setSelectionRange(area.value.length, area.value.length);
          scrollTo(0, 0);
        });
        await page.frame();
        const end = await shifts(page);
        await typed(page, "\nz = 12.5\nreport z T(0.1)");
        const { sum, moves } = await end();
        assert.ok(sum < 0.05, `a shift of ${sum}: ${moves}`);
      }, { width, height }));
  }

  test("a long sheet scrolls in itself, and its marks with it", () =>
    inPage(at, async (page) => {
      await page.paste("y'' = x\ny(0) = 0\ny(1) = 1\n" + "# a remark\n".repeat(200) + "z = 1/2x");
      await page.faulted();
      await page.tab.evaluate(() => {
        const area = document.getElementById("sheet");
        area.scrollTop = area.scrollHeight;
      });
      await until(page.tab, "the mirror to follow", () => {
        const [area, mirror] = ["sheet", "mirror"].map((id) => document.getElementById(id));
        const mark = document.querySelector("#mirror .underlined").getBoundingClientRect();
        const box = area.getBoundingClientRect();
        return area.scrollTop > 1000 && area.scrollTop === mirror.scrollTop && box.height <= 0.6 * innerHeight + 1 &&
          mark.bottom <= box.bottom && mark.top >= box.top && area.clientWidth === mirror.clientWidth;
      });
    }, {}));

  test("no text area is higher than 60 % of the window", () =>
    inPage(at, async (page) => {
      const long = "0.1\t2\n".repeat(300);
      for (const id of ["numbers", "take-note", "sheet"]) await page.put(id, long);
      const heights = await page.tab.evaluate(() => [...document.querySelectorAll("textarea")].map(
        (e) => e.getBoundingClientRect().height / innerHeight));
      assert.ok(heights.length >= 3 && Math.max(...heights) <= 0.61, `${heights}`);
    }, { width: 1000, height: 500 }));

  test("what goes on beyond an edge is shaded there: the column of the problem, and tables", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(`${"# a remark\n".repeat(40)}y'' = y\ny(0) = 0\ny(1) = 1\n`));
      await page.tab.evaluate(() => {
        scrollTo(0, 0);
        document.activeElement.blur();
      });
      const shown = await page.tab.evaluate(() => {
        const problem = document.querySelector(".problem");
        return {
          overflows: problem.scrollHeight > problem.clientHeight,
          bottom: problem.getBoundingClientRect().bottom - innerHeight,
          shades: [".problem", "#table-scroll", "#compared-scroll"].map((id) =>
            getComputedStyle(document.querySelector(id)).backgroundAttachment),
        };
      });
      assert.ok(shown.overflows, "the column is higher than the window");
      assert.ok(shown.bottom <= 0, `its lower edge is in sight: ${shown.bottom}`);
      assert.deepEqual(shown.shades, ["local, scroll", "local, local, scroll, scroll", "local, local, scroll, scroll"]);
    }, { width: 1366, height: 768 }));

  test("the figure grows on request, and shrinks again", () =>
    inPage(at, async (page) => {
      const height = async () => (await places(page, "#figure"))["#figure"];
      const { top, bottom } = await height();
      await page.press("#larger");
      const large = await height();
      assert.ok(large.bottom - large.top > 1.4 * (bottom - top));
      await page.press("#larger");
      const small = await height();
      assert.ok(Math.abs(small.bottom - small.top - (bottom - top)) < 2);
    }));
}
