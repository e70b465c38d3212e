// What is taken away: what is copied and saved is what the native command writes.
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { native } from "./native.mjs";
import { inPage, until } from "./page.mjs";
import { fin } from "./sheets.mjs";

// saved presses a button by the keyboard and returns the file that the browser was handed: its name, its kind, and its text, or
// of a picture its size.
async function saved(page, selector) {
  await page.tab.evaluate(() => {
    watch.saved = [];
    if (watch.watchesFiles) return;
    watch.watchesFiles = true;
    const blobs = new Map();
    const original = URL.createObjectURL.bind(URL);
    URL.createObjectURL = (blob) => {
      const url = original(blob);
      blobs.set(url, blob);
      return url;
    };
    document.addEventListener("click", (e) => {
      const a = e.target.closest("a[download]");
      if (!a) return;
      e.preventDefault();
      watch.saved.push({ name: a.download, blob: blobs.get(a.href) });
    }, true);
  });
  await page.tab.focus(selector);
  await page.tab.keyboard.press("Enter");
  await until(page.tab, `a file from ${selector}`, () => watch.saved.length > 0);
  return page.tab.evaluate(async () => {
    const { name, blob } = watch.saved[0];
    const kind = blob.type.split(";")[0];
    if (kind !== "image/png") return { name, kind, text: await blob.text() };
    const picture = await createImageBitmap(blob);
    return { name, kind, width: picture.width, height: picture.height };
  });
}

async function choose(page, fields) {
  await page.tab.evaluate((fields) => {
    for (const [id, value] of Object.entries(fields)) {
      const field = document.getElementById(id);
      if (typeof value === "boolean") field.checked = value;
      else field.value = value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }, fields);
}

export function taking(at) {
  test("tables are copied and saved as the native command writes them, with every option", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      for (const [fields, flags] of [
        [{}, []],
        [{ "points-kind": "spaced", "points-count": "21" }, ["-points", "21"]],
        [{ "points-kind": "at", "points-at": "0, L/3, 0.25" }, ["-at", "0, L/3, 0.25"]],
        [{ "points-kind": "", "digits-kind": "fixed", "digits-count": "5", "decimal-kind": "comma" }, ["-digits", "5", "-decimal", "comma"]],
        [{ "digits-kind": "", "with-errors": true }, ["-decimal", "comma", "-errors"]],
      ]) {
        await choose(page, fields);
        for (const format of ["tsv", "csv", "markdown", "latex"]) {
          const wanted = native(fin.sheet, ...flags, "-out", format);
          assert.equal(await page.copied(`button[data-format=${format}]`), wanted);
          const file = await saved(page, `button[data-save=${format}]`);
          assert.equal(file.text, wanted, `${format} ${flags}`);
          assert.match(await page.text("copied-table"), new RegExp(`Saved \\d+ rows as ${file.name}`));
        }
      }
      await choose(page, { "decimal-kind": "", "with-errors": false });
      const got = JSON.parse((await saved(page, "button[data-save=json]")).text);
      const wanted = JSON.parse(native(fin.sheet, "-out", "json"));
      assert.deepEqual(Object.keys(got), Object.keys(wanted));
      for (const key of ["status", "message", "method", "degree", "elements", "columns", "found"]) assert.deepEqual(got[key], wanted[key]);
      wanted.rows.forEach((row, i) => row.forEach((value, j) => assert.ok(Math.abs(got.rows[i][j] - value) <= 1e-11 * (1 + Math.abs(value)), `row ${i}`)));
      await choose(page, { "points-kind": "at", "points-at": "0, 7" });
      await page.press("button[data-format=tsv]");
      await until(page.tab, "what is wrong with the points", () => /Point 2: .*outside/.test(document.getElementById("copied-table").innerText));
      await choose(page, { "points-kind": "" });
    }, {}));

  test("programs, figures and handouts are those of the native command", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      for (const language of ["python", "octave"]) {
        assert.equal((await saved(page, `button[data-take=${language}]`)).text, native(fin.sheet, "-script", language));
      }
      await choose(page, { "take-title-text": "The fin <of> the stove", "take-note": "Hand in by Friday.", "figure-titled": true, "figure-width": "600", "figure-density": "3" });
      const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
      native(fin.sheet, "-figure", join(folder, "f.svg"), "-width", "600", "-title", "The fin <of> the stove");
      const svg = await saved(page, "button[data-take=figure]");
      const numbers = (text) => text.match(/-?\d+(\.\d+)?/g).length;
      const words = (text) => text.match(/>[^<]+</g);
      const wanted = readFileSync(join(folder, "f.svg"), "utf8");
      assert.deepEqual(words(svg.text), words(wanted));
      assert.ok(Math.abs(numbers(svg.text) - numbers(wanted)) < 0.1 * numbers(wanted), "about as many points; rounding moves those of the residual");
      const png = await saved(page, "button[data-take=figure-png]");
      assert.equal(png.width, 1800);
      assert.ok(png.height > 600);
      for (const [language, says] of [["html", /<title>The fin &lt;of&gt; the stove/], ["latex", /\\documentclass/]]) {
        const whole = (await saved(page, `button[data-take=handout-${language}]`)).text;
        assert.match(whole, says);
        assert.ok(whole.includes("Hand in by Friday."));
        const command = native(fin.sheet, "-handout", language, "-title", "The fin <of> the stove", "-note", "Hand in by Friday.");
        // The text is the same; numbers that are rounding alone differ from machine to machine.
        const bare = (text) => text.replace(/<svg[^]*?<\/svg>/g, "").replace(/-?\d[\d.,e+\u2009-]*/g, "#").replace(/\s+/g, " ");
        if (language === "html") assert.equal(bare(whole).slice(0, 2000), bare(command).slice(0, 2000));
      }
      await choose(page, { student: true });
      const student = await saved(page, "button[data-take=handout-html]");
      assert.equal(student.name, "nodespan-handout-student.html");
      assert.match(student.text, /left out/);
      await choose(page, { student: false });
    }, {}));

  test("a mean is asked for by the form, and stands in the answer with its digits", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste("y'' = -2\ny(0) = 0\ny(1) = 0"));
      await page.tab.evaluate(() => (document.getElementById("report").open = true));
      await choose(page, { "report-what": "mean" });
      const answer = await page.solved(() => page.press("#report-form button"));
      assert.match(answer.replace(/[\u2009\u202f]/g, ""), /mean\(y\)\s=\s0\.16666/); // the integral of x − x², 1/6
      assert.match(await page.sheet(), /\nreport mean\(y\)$/);
    }, {}));

  test("axe-core finds nothing in what is taken away", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => (document.getElementById("report").open = true));
      await choose(page, { student: true, "points-kind": "at", "digits-kind": "fixed" });
      await accessible(page, "every field shown");
      assert.equal(await page.tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0);
    }, { width: 320, height: 640 }));
}
