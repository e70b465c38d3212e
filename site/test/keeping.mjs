// Nothing lost: what was typed is there after a reload, a crash, going back and forward, in a second tab; or the page
// says why not. And the sheets that are kept by name.
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { native } from "./native.mjs";
import { openPage, until } from "./page.mjs";
import { fragment } from "./sharing.mjs";
import { fin } from "./sheets.mjs";

const mine = "# mine\ny'' = -y\ny(0) = 0\ny(1) = 1";
const other = "u'' = 4 u\nu(0) = 1\nu(2) = 0";

// inBrowser hands a function that opens pages in a profile of their own, as of a private window: they share a storage
// that no other trial sees.
async function inBrowser(at, trial) {
  const context = await at.browser.createBrowserContext();
  const pages = [];
  const open = async (hash = "", setUp) => {
    const page = await openPage({ newPage: async () => {
      const tab = await context.newPage();
      if (setUp) await tab.evaluateOnNewDocument(setUp);
      return tab;
    } }, at.address + hash, { keeps: true });
    pages.push(page);
    return page;
  };
  try {
    await trial(open);
    for (const page of pages) if (!page.tab.isClosed()) await page.check(at.address);
  } finally {
    await context.close();
  }
}

// typed is all that a reader may have typed.
const typed = (page) => page.tab.evaluate(() => Object.fromEntries(["sheet", "numbers", "take-title-text", "take-note",
  "method-name", "nodes"].map((id) => [id, document.getElementById(id).value])));

// type fills it all in, and waits until it is kept.
async function type(page, sheet) {
  await page.solved(() => page.paste(sheet));
  await page.solved(() => page.setMethod({ "method-name": "one", nodes: "9" }));
  await page.put("numbers", "0.5\t0.57");
  await page.put("take-title-text", "A <b>title</b>");
  await page.put("take-note", "two\nlines");
  await until(page.tab, "it to be kept", () => history.state.includes('note "two\\nlines"'));
  return typed(page);
}

const reload = (page) => page.solved(() => page.tab.reload({ waitUntil: "load" }));
const words = (page, id) => page.tab.evaluate((id) => document.getElementById(id).textContent.trim(), id);
const seen = (page, id) => page.tab.evaluate((id) => document.getElementById(id).checkVisibility(), id);
// travel goes back or forward and waits for the sheet.
const travel = async (page, by, sheet) => {
  await page.tab.evaluate((by) => history.go(by), by);
  await until(page.tab, `the sheet ${by}`, (sheet) => document.getElementById("sheet").value === sheet, sheet);
  await until(page.tab, "its answer", () => document.getElementById("answer").getAttribute("aria-busy") === "false");
};
const example = (page, n) => page.solved(() => page.tab.evaluate(
  (n) => document.querySelectorAll("#examples button")[n].click(), n));
const undo = (page) => page.tab.evaluate(() => {
  document.getElementById("sheet").focus();
  document.execCommand("undo");
});

// What a browser may do with its storage.
const denied = () => Object.defineProperty(window, "localStorage",
  { get() { throw new DOMException("The operation is insecure.", "SecurityError"); } });
const absent = () => Object.defineProperty(window, "localStorage", { value: null });
const full = () => (Storage.prototype.setItem = () => {
  throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
});

export function keeping(at) {
  test("all that was typed survives a reload; the address has the sheet and the method", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      const before = await type(page, mine);
      await reload(page);
      assert.deepEqual(await typed(page), before);
      assert.equal(await page.copied("#copy-link"), await page.tab.evaluate(() => location.href));
      // A fault and a sheet that is far too long are kept as well.
      for (const sheet of ["y'' = (", mine + "\n#" + " long".repeat(10_000)]) {
        await page.paste(sheet);
        await until(page.tab, "it to be kept", (end) => history.state.includes(end),
          JSON.stringify(sheet.slice(-20)).slice(1));
        await page.tab.reload({ waitUntil: "load" });
        await until(page.tab, "the sheet", (sheet) => document.getElementById("sheet").value === sheet, sheet);
      }
    }));

  test("what was typed last is there in a second tab, and in a new one after both are gone", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      const before = await type(page, mine);
      const second = await open();
      await second.solved();
      assert.deepEqual(await typed(second), before);
      await second.solved(() => second.paste(other));
      await reload(page);
      assert.deepEqual(await typed(page), before, "one tab does not lose what is in the other");
      await until(second.tab, "it to be kept", (end) => history.state.includes(end), "u(2) = 0");
      await page.check(at.address);
      await page.tab.close();
      await second.check(at.address);
      await second.tab.close();
      const third = await open();
      await third.solved();
      assert.equal(await third.sheet(), other);
    }));

  test("an example and a link are steps back and forward, and the edited sheet is brought back", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      assert.equal(await seen(page, "bring-back"), false, "nothing was edited");
      await page.solved(() => page.paste(mine));
      await example(page, 1);
      const first = await page.sheet();
      await example(page, 2);
      const second = await page.sheet();
      await page.solved(() => page.tab.evaluate((hash) => (location.hash = hash),
        fragment(other, "method=one nodes=7")));
      assert.equal(await page.sheet(), other);
      await travel(page, -1, second);
      await travel(page, -1, first);
      await travel(page, -1, mine);
      await travel(page, 3, other);
      assert.equal(await page.tab.evaluate(() => document.getElementById("nodes").value), "7");
      await accessible(page, "with an edited sheet within reach");
      await page.solved(() => page.press("#bring-back"));
      assert.equal(await page.sheet(), mine);
      assert.equal(await seen(page, "bring-back"), false);
      await travel(page, -1, other);
      assert.equal(await seen(page, "bring-back"), true);
      await reload(page);
      assert.equal(await page.sheet(), other);
      await page.solved(() => page.press("#bring-back"));
      assert.equal(await page.sheet(), mine, "after a reload too");
    }));

  test("a link opened in a new tab leaves the edited sheet of another within reach", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      await type(page, mine);
      const second = await open(fragment(other));
      await second.solved();
      assert.equal(await second.sheet(), other);
      await second.solved(() => second.press("#bring-back"));
      assert.equal(await second.sheet(), mine);
    }));

  test("whatever the page writes into the sheet is undone by the browser's own undo", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      await page.solved(() => page.paste(mine));
      await example(page, 3);
      await page.solved(() => undo(page));
      assert.equal(await page.sheet(), mine, "an example");
      await page.solved(() => page.tab.evaluate((hash) => (location.hash = hash), fragment(other)));
      await page.solved(() => undo(page));
      assert.equal(await page.sheet(), mine, "a link");
      await page.solved(() => page.tab.evaluate(() => document.querySelector("#report-form button").click()));
      assert.match(await page.sheet(), /report integral\(y\)$/);
      await page.solved(() => undo(page));
      assert.equal(await page.sheet(), mine, "a report");
    }));

  test("the answer is copied in words, as the command has them; what is selected by hand is plain", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      const sheet = `${fin.sheet}\nreport largest(T)\nreport largest_at(T)`;
      await page.solved(() => page.paste(sheet));
      const sentence = await page.copied("#copy-sentence");
      assert.equal(sentence, native(sheet, "-sentence").trim());
      assert.match(sentence, /^T is largest, 180, at x = 0; error below \d/);
      const plain = await page.tab.evaluate(() => {
        document.activeElement.blur();
        getSelection().selectAllChildren(document.getElementById("answer"));
        const event = new Event("copy", { bubbles: true, cancelable: true });
        let copied = "";
        event.clipboardData = { setData: (_, text) => (copied = text) };
        document.dispatchEvent(event);
        return copied;
      });
      assert.match(plain, /180/);
      assert.doesNotMatch(plain, /[\u202f\u00a0−×]/);
    }));

  for (const [what, setUp, says] of [["denied", denied, /stores nothing/], ["absent", absent, /stores nothing/],
    ["full", full, /stores nothing/]]) {
    test(`with its storage ${what}, the page says so, and a reload loses nothing`, () =>
      inBrowser(at, async (open) => {
        const page = await open("", setUp);
        await page.solved();
        assert.equal(await words(page, "kept-told"), "", "nothing was typed");
        const before = await type(page, mine);
        assert.match(await words(page, "kept-told"), says);
        assert.equal(await seen(page, "kept-told"), true);
        await example(page, 1);
        await reload(page);
        await page.solved(() => page.press("#bring-back"));
        assert.deepEqual(await typed(page), before);
        await page.tab.evaluate(() => document.querySelector("#my-sheets > summary").click());
        await page.tab.evaluate(() => document.querySelector("#keep-form button").click());
        assert.match(await words(page, "kept-done"), /stores nothing.*text file/);
        await accessible(page, `with its storage ${what}`);
      }));
  }

  test("what others wrote into the storage, the history or a file does no harm", () =>
    inBrowser(at, async (open) => {
      const page = await open("", () => {
        try {
          if (sessionStorage.getItem("done")) return;
          sessionStorage.setItem("done", "1");
          localStorage.setItem("nodespan.last", 'sheet "y"\nmethod "nodes=1e99"');
          localStorage.setItem("nodespan.sheet.<img src=x onerror=alert(1)>", 'sheet "<img src=x>"');
          localStorage.setItem("nodespan.sheet.spoilt", "{");
          localStorage.setItem("elsewhere", "x");
        } catch { /* Firefox runs this in an empty page too, which has no storage */ }
      });
      await page.solved();
      await page.tab.evaluate(() => document.querySelector("#my-sheets > summary").click());
      await until(page.tab, "the list", () => document.querySelectorAll("#kept-list li").length === 2);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("main img, main script").length), 0);
      await page.tab.evaluate(() => document.querySelectorAll("#kept-list button[name=open]")[1].click());
      await until(page.tab, "a refusal", () => /cannot be read/.test(document.getElementById("kept-done").textContent));
      await page.faulted(() => page.tab.evaluate(() => document.querySelector("#kept-list button[name=open]").click()));
      assert.equal(await page.sheet(), "<img src=x>");
      await page.tab.evaluate(() => history.replaceState("{", ""));
      await page.tab.reload({ waitUntil: "load" });
      await page.faulted();
      assert.equal(await page.sheet(), "<img src=x>", "from the address");
      await page.tab.evaluate(() => history.replaceState({ deep: [1] }, "", location.pathname));
      await page.tab.reload({ waitUntil: "load" });
      await page.answered();
      assert.equal(await page.tab.evaluate(() => localStorage.getItem("elsewhere")), "x");
    }));

  test("sheets are kept by name, removed, brought back, and taken along as text files, several at once", () =>
    inBrowser(at, async (open) => {
      const page = await open();
      await page.solved();
      const done = (pattern) => until(page.tab, `${pattern}`,
        (p) => new RegExp(p).test(document.getElementById("kept-done").textContent), pattern);
      const names = () => page.tab.evaluate(
        () => [...document.querySelectorAll("#kept-list button[name=open]")].map((b) => b.textContent));
      const button = (does, n) => page.tab.evaluate(
        (does, n) => document.querySelectorAll(`#kept-list button[name=${does}]`)[n].click(), does, n);
      const keep = async (sheet, name) => {
        await page.solved(() => page.paste(sheet));
        await page.put("keep-name", name);
        await page.tab.evaluate(() => document.querySelector("#keep-form button").click());
        await done(`Kept as “${name}”`);
      };
      await page.tab.evaluate(() => document.querySelector("#my-sheets > summary").click());
      await keep(mine, "the wire");
      await page.solved(() => page.setMethod({ "method-name": "one", nodes: "7" }));
      await keep(other, "a wall"); // with its method
      assert.deepEqual(await names(), ["a wall", "the wire"]);
      await accessible(page, "with sheets kept");
      await page.solved(() => button("open", 1));
      assert.equal(await page.sheet(), mine);
      await button("remove", 0);
      await done("Removed “a wall”");
      assert.deepEqual(await names(), ["the wire"]);
      await page.tab.evaluate(() => document.getElementById("kept-undo").click());
      await done("Undone");
      assert.deepEqual(await names(), ["a wall", "the wire"]);
      await keep(fin.sheet, "the wire");
      await done("in the place of another");
      await page.tab.evaluate(() => document.getElementById("kept-undo").click());
      await done("Undone");
      await page.solved(() => button("open", 1));
      assert.equal(await page.sheet(), mine);

      const file = await page.tab.evaluate(() => new Promise((resolve) => {
        const create = URL.createObjectURL.bind(URL);
        URL.createObjectURL = (blob) => (blob.text().then(resolve), create(blob));
        document.addEventListener("click", (e) => e.target.closest("a[download]") && e.preventDefault(), true);
        document.getElementById("export-sheets").click();
      }));
      assert.equal(file, `# == a wall == method=one nodes=7\n${other}\n# == the wire ==\n${mine}\n`);
      await done("Asked the browser to save 2 sheets as nodespan-sheets.txt");

      // Elsewhere: another profile, into which two files are read.
      await inBrowser(at, async (open) => {
        const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
        writeFileSync(join(folder, "all.txt"), file);
        writeFileSync(join(folder, "notes of May.txt"), `\ufeff${fin.sheet.replaceAll("\n", "\r\n")}`);
        writeFileSync(join(folder, "picture.txt"), Buffer.from([0xff, 0, 1]));
        const page = await open();
        await page.solved();
        await page.tab.evaluate(() => document.querySelector("#my-sheets > summary").click());
        const input = await page.tab.$("#import-sheets");
        await input.uploadFile(...["all.txt", "notes of May.txt", "picture.txt"].map((f) => join(folder, f)));
        await until(page.tab, "them to be read",
          () => document.getElementById("kept-done").textContent.startsWith("Read 3 sheets. No plain text"));
        await page.solved(() => page.tab.evaluate(
          () => document.querySelectorAll("#kept-list button[name=open]")[1].click()));
        assert.equal(await page.sheet(), fin.sheet);
        assert.equal(readFileSync(join(folder, "all.txt"), "utf8"), file);
        await input.uploadFile(join(folder, "all.txt"));
        await until(page.tab, "it to be read again",
          () => document.getElementById("kept-done").textContent.startsWith("Read 2 sheets."));
        await page.solved(() => page.tab.evaluate(
          () => document.querySelectorAll("#kept-list button[name=open]")[0].click()));
        assert.equal(await page.sheet(), other);
        assert.equal(await page.tab.evaluate(() => document.querySelectorAll("#kept-list li").length), 3,
          "what was read twice is there once");
        assert.equal(await page.tab.evaluate(() => document.getElementById("nodes").value), "7");
      });
    }));
}
