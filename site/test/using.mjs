// Reading the figure, zooming, asking for values, stopping a long solve, and a worker that dies.
import assert from "node:assert/strict";
import { test } from "node:test";
import { native } from "./native.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { fin, long } from "./sheets.mjs";

// numberIn finds the first number after the last "=" of a text; thin spaces group its digits.
function numberIn(text) {
  const compact = text.replace(/[\u2009\u202f]/g, "").replace(/−/g, "-");
  const found = compact.match(/=\s*(-?\d+(?:\.\d+)?(?:e[-+]?\d+)?)[^=]*$/);
  assert.ok(found, `a number in ${JSON.stringify(text)}`);
  return Number(found[1]);
}

// stopped does something that begins a long solve, and presses the button that stops it in the same breath as it is
// seen: however slow the machine is, the solve still runs then. It returns what was said while it ran and after, and
// how many workers were started for it.
async function stopped(page, begin) {
  let during;
  const headline = await page.answered(async () => {
    await begin();
    during = await until(page.tab, "the button that stops", () => {
      const button = document.getElementById("cancel");
      if (!watch.solving()) return false;
      const during = { words: document.getElementById("progress-words").innerText, workers: -watch.workers.length };
      button.click();
      during.workers += watch.workers.length;
      return during;
    });
  });
  return { headline, ...during };
}

export function using(at) {
  test("the figure is read by the keyboard, node by node and point by point", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      await page.tab.focus("#figure");
      // What the read-out and the lit row say after a key.
      const after = async (key) => {
        const was = await page.text("readout");
        await page.tab.keyboard.press(key);
        await until(page.tab, `a read-out after ${key}`,
          (was) => document.getElementById("readout").innerText.trim() !== was, was);
        return page.text("readout");
      };
      const start = await after("Home");
      assert.match(start.normalize("NFKC"), /T/); // typeset: an italic T
      assert.equal(await page.tab.evaluate(() => [...document.querySelectorAll("#node-table tbody tr")].findIndex(
        (tr) => tr.classList.contains("lit"))), 0, "the first row is lit at the first node");
      const next = await after("ArrowUp");
      assert.equal(await page.tab.evaluate(() => [...document.querySelectorAll("#node-table tbody tr")].findIndex(
        (tr) => tr.classList.contains("lit"))), 1, "the second row at the next node");
      assert.notEqual(next, start);
      await after("ArrowRight");
      await after("End");
      await page.tab.keyboard.press("Escape");
      await until(page.tab, "the read-out to go", () => document.getElementById("readout").innerText.trim() === "");
    }));

  test("the figure is read by the pointer, and a row of the table lights its node", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => document.getElementById("figure").scrollIntoView({ block: "center" }));
      const box = await (await page.tab.$("#figure")).boundingBox();
      await page.tab.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
      await until(page.tab, "a read-out under the pointer",
        () => /\d/.test(document.getElementById("readout").innerText));
      const before = await page.picture("overlay");
      await page.tab.hover("#node-table tbody tr:nth-child(2)");
      await until(page.tab, "the row to light", () => document.getElementById("readout").innerText.trim() === "");
      await eventually("another mark to be drawn", async () => (await page.picture("overlay")).sum !== before.sum);
    }));

  test("the figure zooms by dragging and by keys, and comes back whole", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => document.getElementById("figure").scrollIntoView({ block: "center" }));
      await page.tab.mouse.move(0, 0);
      await page.frame();
      const whole = await page.picture("figure");
      const settled = (what, wanted) => eventually(what,
        async () => ((await page.picture("figure")).sum === whole.sum) === wanted);
      const box = await (await page.tab.$("#figure")).boundingBox();
      await page.tab.mouse.move(box.x + box.width * 0.3, box.y + box.height * 0.5);
      await page.tab.mouse.down();
      await page.tab.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.5, { steps: 4 });
      await page.tab.mouse.up();
      await settled("a drag zooms", false);
      await page.press("#reset-zoom");
      await settled("the button shows the whole interval", true);
      await page.tab.focus("#figure");
      await page.tab.keyboard.press("+");
      await settled("a key zooms", false);
      await page.tab.keyboard.press("Escape");
      await settled("Escape shows the whole interval", true);
      await page.press("#derivatives");
      await settled("derivatives are drawn", false);
      await page.press("#derivatives");
      await settled("and taken away", true);
    }));

  test("the value at any point can be asked for, as a number or a formula", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      for (const [point, x] of [["0.123", 0.123], ["L/3", 0.5 / 3]]) {
        await page.tab.evaluate(() => document.getElementById("ask-value").replaceChildren());
        await page.put("ask", point);
        const text = await until(page.tab, "a value", () => /\d/.test(document.getElementById("ask-value").innerText) &&
          document.getElementById("ask-value").innerText);
        const value = numberIn(text.split(/[,;]|\bT′|\bT'/)[0]);
        assert.ok(Math.abs(value - fin.exact(x)) < 1e-5,
          `T(${point}) is shown as ${text}; the closed form gives ${fin.exact(x)}`);
        const [, line] = native(fin.sheet, "-at", point).trim().split("\n");
        assert.ok(Math.abs(Number(line.split("\t")[1]) - value) < 1e-6, `the native command says ${line}`);
      }
      await page.put("ask", "7");
      await until(page.tab, "a refusal", () => document.querySelector("#ask-value .refused") !== null);
    }));

  test("a long solve says what it is doing, is stopped, and the page goes on", () =>
    inPage(at, async (page) => {
      const good = await page.sheet();
      const table = await page.table();
      await page.setMethod(long.method);
      const { headline, words, workers } = await stopped(page, () => page.paste(long.sheet));
      assert.match(words, /\w{3,}/);
      assert.match(headline, /^Stopped/);
      assert.deepEqual(workers, 1,
        "stopping does not wait for the solve: its worker is ended, and another takes its place");
      assert.deepEqual(await page.table(), table, "the last good table stays");
      assert.equal(await page.tab.evaluate(() => document.getElementById("cancel").hidden), true);
      await page.solved(async () => {
        await page.setMethod({ "method-name": "" });
        await page.paste(good);
      });
      assert.deepEqual(await page.table(), table, "and the next sheet is solved");
    }));

  test("typing on while a long solve runs does not wait for it", () =>
    inPage(at, async (page) => {
      await page.setMethod(long.method);
      await page.paste(long.sheet);
      // In the same breath as it is seen to run: however slow the machine is, it still runs then.
      await until(page.tab, "the solve to run", (text) => {
        if (!watch.solving()) return false;
        watch.workersBefore = watch.workers.length;
        for (const [id, value] of [["method-name", ""], ["sheet", text]]) {
          const field = document.getElementById(id);
          field.value = value;
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }
        return true;
      }, fin.sheet);
      await until(page.tab, "the worker to be ended for it", () => watch.workers.length > watch.workersBefore);
      await until(page.tab, "the newer sheet's answer",
        () => document.getElementById("answer").getAttribute("aria-busy") === "false");
      const { rows } = await page.table();
      assert.equal(Number(rows.at(-1)[1]).toFixed(4), fin.exact(0.5).toFixed(4));
      assert.equal(await page.text("fault"), "");
    }));

  test("a worker that dies is replaced, in one sentence, and the sheet is kept", () =>
    inPage(at, async (page) => {
      const good = await page.sheet();
      await page.setMethod(long.method);
      const headline = await page.answered(async () => {
        await page.paste(long.sheet);
        await until(page.tab, "the solve to run", () => {
          if (!watch.solving()) return false;
          for (const worker of [...watch.workers])
            worker.dispatchEvent(new ErrorEvent("error", { message: "the test ended it", cancelable: true }));
          return true;
        });
      });
      assert.match(headline, /broke off.*afresh/);
      assert.equal(await page.sheet(), long.sheet);
      await page.solved(async () => {
        await page.setMethod({ "method-name": "" });
        await page.paste(good);
      });
    }));

  test("an unfinished sheet is not scolded while it is being typed", () =>
    inPage(at, async (page) => {
      // The page's own clock tells when the sheet was written and when it was found wanting.
      await page.tab.evaluate(() => {
        const [sheet, fault] = ["sheet", "fault"].map((id) => document.getElementById(id));
        sheet.addEventListener("input", () => (watch.typed = performance.now()), { once: true, capture: true });
        new MutationObserver((_, observer) => {
          if (fault.textContent === "") return;
          watch.told = performance.now();
          observer.disconnect();
        }).observe(fault, { childList: true, characterData: true, subtree: true });
      });
      await page.paste("y'' + (");
      const rest = await until(page.tab, "what is missing to be told", () => watch.told - watch.typed);
      assert.ok(rest > 1400, `it is told after ${rest} ms, while it may still be being typed`);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("#mirror .underlined").length), 0);
      assert.equal(await page.tab.evaluate(() => document.getElementById("sheet").getAttribute("aria-invalid")), null);
      await page.solved(() => page.paste("y'' + (y) = 0 ; y(0) = 1 ; y(1) = 0"));
    }));

  test("pointing at a line marks its counterpart, on either side", () =>
    inPage(at, async (page) => {
      await page.tab.evaluate(() => scrollTo(0, 0));
      await page.tab.hover("#reading .statement:last-child");
      await until(page.tab, "the line in the sheet to be marked",
        () => document.querySelector("#mirror .marked") !== null);
      await page.press("#reading .statement:last-child");
      assert.ok(await page.tab.evaluate(() => {
        const area = document.getElementById("sheet");
        return document.activeElement === area && area.selectionEnd > area.selectionStart;
      }), "a press selects the statement in the sheet");
    }));
}
