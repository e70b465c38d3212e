// What is taken away: what is copied and saved is what the native command writes.
import assert from "node:assert/strict";
import { existsSync, mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { test } from "node:test";
import { launch } from "./browsers.mjs";
import { accessible } from "./looks.mjs";
import { native } from "./native.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { fin } from "./sheets.mjs";

// The demonstrations by name.
const folder = resolve(import.meta.dirname, "../../testdata/demos");
const demonstrations = new Map(readdirSync(folder).filter((f) => f.endsWith(".txt")).map((f) => [f.slice(0, -4),
  readFileSync(join(folder, f), "utf8")]));

// The demonstrations whose pictures show errors at the level of rounding, which the browser's exponential function and
// the machine's leave at other places: of these the words, the colours and the elements are compared, and the digits of
// a rate left out.
const noisy = new Set(["wall-in-the-sun", "smoke-in-the-flue"]);

// frame is a picture without its coordinates.
const frame = (svg) => svg.match(/<text[^]*?<\/text>|<\w+/g).map((part) => part.replace(/ [xy]="[^"]*"/g,
  "").replace(/>0\.\d+ digits a node</, ">digits a node<")).filter((part) => !/^<circle/.test(part));

// saved presses a button by the keyboard and returns the file that the browser was handed: its name, its kind, and its
// text, or of a picture its size.
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
        [{ "points-kind": "", "digits-kind": "fixed", "digits-count": "5", "decimal-kind": "comma" },
          ["-digits", "5", "-decimal", "comma"]],
        [{ "digits-kind": "", "with-errors": true }, ["-decimal", "comma", "-errors"]],
      ]) {
        await choose(page, fields);
        for (const format of ["tsv", "csv", "markdown", "latex"]) {
          const wanted = native(fin.sheet, ...flags, "-out", format);
          assert.equal(await page.copied(`button[data-format=${format}]`), wanted);
          const file = await saved(page, `button[data-save=${format}]`);
          assert.equal(file.text, wanted, `${format} ${flags}`);
          assert.match(await page.text("copied-table"),
            new RegExp(`Asked the browser to save \\d+ rows as ${file.name}`));
        }
      }
      await choose(page, { "decimal-kind": "", "with-errors": false });
      const got = JSON.parse((await saved(page, "button[data-save=json]")).text);
      const wanted = JSON.parse(native(fin.sheet, "-out", "json"));
      assert.deepEqual(Object.keys(got), Object.keys(wanted));
      for (const key of ["status", "message", "method", "degree", "elements", "columns", "found"])
        assert.deepEqual(got[key], wanted[key]);
      wanted.rows.forEach((row, i) => row.forEach((value,
        j) => assert.ok(Math.abs(got.rows[i][j] - value) <= 1e-11 * (1 + Math.abs(value)), `row ${i}`)));
      await choose(page, { "points-kind": "at", "points-at": "0, 7" });
      await page.press("button[data-format=tsv]");
      await until(page.tab, "what is wrong with the points",
        () => /= 7 is outside/.test(document.getElementById("copied-table").innerText));
      await choose(page, { "points-kind": "" });
    }, {}));

  for (const [name, sheet] of demonstrations) {
    test(`programs and figures of ${name} are those of the native command, byte for byte`, () =>
      inPage(at, async (page) => {
        await page.solved(() => page.paste(sheet));
        for (const language of ["python", "octave"]) {
          assert.equal((await saved(page, `button[data-take=${language}]`)).text, native(sheet, "-script", language),
            language);
        }
        const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
        const drawn = (...flags) => {
          native(sheet, "-figure", join(folder, "f.svg"), ...flags);
          return readFileSync(join(folder, "f.svg"), "utf8");
        };
        const same = noisy.has(name) ? (got, wanted) => assert.deepEqual(frame(got), frame(wanted)) : assert.equal;
        same((await saved(page, "button[data-take=figure]")).text, drawn());
        same((await saved(page, "button[data-take=ladder]")).text, drawn("-ladder"));
      }, {}));
  }

  for (const name of ["stove-pipe-fin", "floor-joist", "boiler-coil"]) {
    test(`the handout about ${name} is that of the native command, byte for byte`, () =>
      inPage(at, async (page) => {
        const sheet = demonstrations.get(name);
        await page.solved(() => page.paste(sheet));
        await choose(page, { "take-title-text": "The <b>first</b> & only", "take-note": "Hand in by Friday." });
        for (const language of ["html", "latex"]) {
          const got = await saved(page, `button[data-take=handout-${language}]`);
          assert.equal(got.text, native(sheet, "-handout", language, "-title", "The <b>first</b> & only", "-note",
            "Hand in by Friday."), language);
        }
        await choose(page, { student: true });
        const student = await saved(page, "button[data-take=handout-html]");
        assert.equal(student.name, "nodespan-handout-student.html");
        assert.match(student.text, /left out/);
        await choose(page, { student: false, "take-title-text": "", "take-note": "" });
      }, {}));
  }

  test("a figure has the width, the density and the title that are asked for", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      await choose(page, { "take-title-text": "The fin <of> the stove", "figure-titled": true, "figure-width": "600",
        "figure-density": "3" });
      const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
      native(fin.sheet, "-figure", join(folder, "f.svg"), "-width", "600", "-title", "The fin <of> the stove");
      assert.equal((await saved(page, "button[data-take=figure]")).text, readFileSync(join(folder, "f.svg"), "utf8"));
      const png = await saved(page, "button[data-take=figure-png]");
      assert.equal(png.width, 1800);
      assert.ok(png.height > 600);
      const ladder = await saved(page, "button[data-take=ladder-png]");
      assert.equal(ladder.width, 1800);
    }, {}));

  test("what is saved lies on the disk, byte for byte", async () => {
    const downloads = mkdtempSync(join(tmpdir(), "nodespan-"));
    const browser = await launch(at.name, { downloads });
    try {
      await inPage({ browser, address: at.address }, async (page) => {
        await page.solved(() => page.paste(fin.sheet));
        for (const [button, name, flags] of [
          ["button[data-take=python]", "nodespan.py", ["-script", "python"]],
          ["button[data-take=octave]", "nodespan.m", ["-script", "octave"]],
          ["button[data-save=csv]", "nodespan-table.csv", ["-out", "csv"]],
          ["button[data-take=handout-latex]", "nodespan-handout.tex", ["-handout", "latex"]],
        ]) {
          await page.press(button);
          const wanted = native(fin.sheet, ...flags);
          const file = join(downloads, name);
          await eventually(`${name} on the disk`, () => existsSync(file) && readFileSync(file, "utf8") === wanted);
        }
      }, {});
    } finally {
      await browser.close();
    }
  });

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
      assert.equal(await page.tab.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0);
    }, { width: 320, height: 640 }));
}
