// From a pasted sheet to a node table, with the native command's digits.
import assert from "node:assert/strict";
import { test } from "node:test";
import { native } from "./native.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { faulty, fin, pasted } from "./sheets.mjs";

// numbers reads a table of tab-separated text.
function numbers(tsv) {
  const [head, ...rows] = tsv.trimEnd().split("\n").map((line) => line.split("\t"));
  return { head, rows: rows.map((row) => row.map(Number)) };
}

// sameDigits holds the table that the page copies, and the one that it shows, to what the command prints.
async function sameDigits(page, sheet) {
  const copied = await page.copied('button[data-format="tsv"]');
  assert.equal(copied.trimEnd(), native(sheet).trimEnd(), "the copied table and the native command's");
  const table = numbers(copied);
  assert.ok(table.rows.length >= 3, "a node table has the two ends and a node at least");
  assert.ok(table.rows.flat().every(Number.isFinite), "every entry of a node table is a number");
  const shown = await page.table();
  // The head is typeset; the derivatives count the same primes.
  const primes = (label) => label.normalize("NFKC").replace(/[^′']/g, "").length;
  assert.deepEqual(shown.head.map(primes), table.head.map(primes));
  assert.equal(shown.rows.length, table.rows.length);
  for (const [i, row] of shown.rows.entries()) {
    for (const [j, cell] of row.entries()) {
      const value = Number(cell.replace(/[\s\u2009\u202f]/g, "").replace("−", "-"));
      // Points are shown with eight digits, and copied with all.
      const slack = j === 0 ? 5e-8 * Math.abs(table.rows[i][j]) : 0;
      assert.ok(Math.abs(value - table.rows[i][j]) <= slack, `row ${i}, column ${j}: shown ${cell}`);
    }
  }
  return table;
}

export function solving(at) {
  test("the first demonstration is solved when the page opens", () =>
    inPage(at, async (page) => {
      const { ink } = await page.picture("figure");
      assert.ok(ink > 0.005, `a share of ${ink} of the figure is drawn on`);
      assert.ok((await page.picture("residual")).ink > 0.005);
      await sameDigits(page, await page.sheet());
    }, {}));

  test("every demonstration is solved, with the native command's digits", () =>
    inPage(at, async (page) => {
      const count = await page.tab.evaluate(() => document.querySelectorAll("#examples button").length);
      assert.ok(count >= 8, `${count} demonstrations`);
      const pictures = new Set();
      for (let i = 0; i < count; i++) {
        // Taken from its link, and then pasted as text over another sheet: the same must come.
        const button = (await page.tab.$$("#examples button"))[i];
        const title = await button.evaluate((b) => b.textContent);
        await page.solved(async () => {
          await page.press("#examples > summary");
          await button.click();
        });
        const sheet = await page.sheet();
        const answer = await page.solved(() => page.paste(sheet));
        assert.match(answer, /\d/, title);
        assert.equal(await page.text("fault"), "", title);
        await sameDigits(page, sheet);
        pictures.add((await page.picture("figure")).sum);
        assert.ok((await page.text("figure-text")).length > 40, `${title}: the figure in words`);
        assert.ok(await page.tab.evaluate(() => document.querySelectorAll("#reading math").length > 1),
          `${title}: the typeset reading`);
      }
      assert.equal(pictures.size, count, "each demonstration has a figure of its own");
    }));

  for (const { name, sheet, exact } of pasted) {
    test(name, () =>
      inPage(at, async (page) => {
        await page.solved(() => page.paste(sheet));
        const { rows } = await sameDigits(page, sheet);
        const scale = Math.max(...rows.map((row) => Math.abs(exact(row[0]))), 1);
        for (const [x, y] of rows) {
          // The page asks for eight digits.
          assert.ok(Math.abs(y - exact(x)) <= 1e-8 * scale, `at ${x}: ${y}, the closed form gives ${exact(x)}`);
        }
      }));
  }

  test("a table is copied as tab-separated, CSV, Markdown and LaTeX text, as the native command writes it", () =>
    inPage(at, async (page) => {
      const sheet = await page.sheet();
      for (const format of ["tsv", "csv", "markdown", "latex"]) {
        const copied = await page.copied(`button[data-format="${format}"]`);
        assert.equal(copied.trimEnd(), native(sheet, "-out", format).trimEnd(), format);
        assert.match(await page.text("copied-table"), /^Copied \d+ rows$/);
      }
    }));

  test("a faulty sheet keeps the last good figure, dimmed, and says what is wrong; mending it recovers", () =>
    inPage(at, async (page) => {
      const good = await page.sheet();
      await page.solved(() => page.paste(good));
      const before = await page.picture("figure");
      const table = await page.table();
      for (const { sheet, says, piece } of faulty) {
        const sentence = await page.faulted(() => page.paste(sheet));
        assert.match(sentence, /^Line \d+, column \d+: /, sheet);
        assert.match(sentence, says);
        const underlined = await page.tab.evaluate(() => [...document.querySelectorAll("#mirror .underlined")].map(
          (e) => e.textContent).join(""));
        assert.ok(underlined.includes(piece), `underlined is ${JSON.stringify(underlined)}, not ${piece}`);
        assert.equal(await page.tab.evaluate(() => document.getElementById("sheet").getAttribute("aria-invalid")),
          "true");
        assert.deepEqual(await page.table(), table, "the last good table stays");
        assert.ok(await page.tab.evaluate(() => document.querySelector(".stale #node-table") !== null),
          "the table is dimmed");
        const dimmed = await eventually("the figure to be dimmed", async () => {
          const picture = await page.picture("figure");
          return picture.sum !== before.sum && picture;
        });
        assert.ok(dimmed.ink > before.ink / 4, "the figure stays");
      }
      await page.solved(() => page.paste(good));
      assert.equal(await page.text("fault"), "", "the fault's sentence goes");
      await until(page.tab, "every mark of the fault to go, the ladder's last",
        () => document.querySelectorAll("#mirror .underlined, .stale, [aria-invalid]").length === 0);
      assert.deepEqual(await page.picture("figure"), before, "the same picture as before");
    }));

  test("what has two readings is a choice: a press writes one of them, and it can be undone", () =>
    inPage(at, async (page) => {
      const sheet = "y'' = 1/2x\ny(0) = 0\ny(1) = 1";
      await page.faulted(() => page.paste(sheet));
      const buttons = () => page.tab.$$("#choices button");
      await eventually("both readings", async () => (await buttons()).length === 2);
      assert.ok(await page.tab.evaluate(
        () => [...document.querySelectorAll("#choices button")].every((b) => b.querySelector("mfrac") !== null)),
      "both are typeset");
      await page.solved(async () => (await buttons())[0].click());
      assert.equal(await page.sheet(), sheet.replace("1/2x", "(1/2)*x"));
      assert.equal((await buttons()).length, 0, "nothing is left to choose");
      await page.faulted(async () => {
        await page.tab.keyboard.down("Control");
        await page.tab.keyboard.press("z");
        await page.tab.keyboard.up("Control");
      });
      assert.equal(await page.sheet(), sheet);
    }));

  test("a prefixed unit among others: a press writes the converted number, and units stand on the axes", () =>
    inPage(at, async (page) => {
      const sheet = "y'' = -1\ny(0) = 0 m\ny(L) = 2 m\nL = 3000 mm";
      assert.match(await page.faulted(() => page.paste(sheet)), /the unit mm does not fit the others/);
      await eventually("the number to write", async () => (await page.tab.$$("#choices button")).length === 1);
      await page.solved(async () => (await page.tab.$("#choices button")).click());
      assert.equal(await page.sheet(), sheet.replace("3000 mm", "3 m"));
      assert.match(await page.text("reading"), /units are read as remarks and nothing is converted: x in m, y in m/);
      assert.match(await page.text("figure-text"), /y in m against x from 0 to 3 m/);
      assert.match((await page.table()).head.join(" "), /y in m/);
    }));

  test("words that are no mathematics are greyed where they stand, and listed with all that was inferred", () =>
    inPage(at, async (page) => {
      const long = "here is the fin that we spoke about on Tuesday in the lecture, and I should like your numbers";
      await page.solved(() => page.paste(`Hi Jo,\n${long}\nT'' = 4 T\nT(0) = 1, T(1) = 0\nCheers,\nAna`));
      const seen = await page.tab.evaluate(() => [...document.querySelectorAll("#veil .remark")].map((e) => {
        const box = document.createRange();
        box.selectNodeContents(e);
        const { left, top } = box.getBoundingClientRect();
        const paper = document.getElementById("mirror").getBoundingClientRect();
        const tint = getComputedStyle(e).backgroundColor;
        return { text: e.textContent, tint, inside: left >= paper.left && top >= paper.top };
      }));
      assert.deepEqual(seen.map((s) => s.text), [`Hi Jo,\n${long}`, "Cheers,\nAna"]);
      for (const s of seen) assert.ok(s.inside && !/, 0\)$|transparent/.test(s.tint), `${s.text}: ${s.tint}`);
      assert.ok(await page.tab.evaluate((whole) => [...document.querySelectorAll(".inferences details .whole")].some(
        (e) => e.textContent.includes(whole)), long), "the whole of it, folded");
      await page.solved(() => page.paste("T'' = 4 T\nT(0) = 1, T(1) = 0"));
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("#veil .remark").length), 0);
    }));

  test("a problem without a solution is said to have none", () =>
    inPage(at, async (page) => {
      const headline = await page.answered(() => page.paste("y'' + y = 0\ny(0) = 0\ny(pi) = 1"));
      assert.match(headline, /no solution/);
      assert.ok(await page.tab.evaluate(() => document.getElementById("answer").classList.contains("unsolved")));
    }));

  test("more nodes than are enough give the same answer; too few are called too few", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      for (const family of ["", "chebyshev", "lobatto", "radau", "equispaced"]) {
        await page.solved(() => page.setMethod({ "method-name": "one", nodes: "14", family }));
        const { rows } = numbers(await page.copied('button[data-format="tsv"]'));
        for (const [x, y] of rows) assert.ok(Math.abs(y - fin.exact(x)) < 2e-6,
          `${family}: at ${x}: ${y}, the closed form gives ${fin.exact(x)}`);
      }
      await page.solved(() => page.setMethod({ nodes: "2", family: "" }));
      assert.ok(await page.tab.evaluate(() => document.getElementById("answer").classList.contains("unsolved")),
        await page.text("answer"));
    }));
}
