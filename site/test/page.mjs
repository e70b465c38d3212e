// A page under test: opens it, watches all that it does, and reads and uses it as a person would.
import assert from "node:assert/strict";
import { setTimeout as pause } from "node:timers/promises";

// The time that anything but a long solve may take, on a slow and busy machine.
const patience = 30_000;

// openPage opens an address in a new tab, and returns when the program has started and shown something.
export async function openPage(browser, address, options = {}) {
  const page = new Page(await browser.newPage());
  await page.prepare(options);
  await page.tab.goto(address, { waitUntil: "load", timeout: patience });
  return page;
}

// inPage hands a page on which the first demonstration stands solved to what is to be tried, and afterwards
// checks that it did nothing forbidden. Trials without options share one tab, so that the program
// starts once for all of them; a trial that fails leaves its successor a new tab.
export async function inPage(at, trial, options) {
  const shared = options === undefined;
  let page = shared ? at.page : undefined;
  at.page = shared ? undefined : at.page;
  if (page) {
    await page.reset();
  } else {
    page = await openPage(at.browser, at.address + (options?.fragment ?? ""), options);
    if (!options?.fragment) {
      await page.solved();
      page.first = await page.sheet();
    }
  }
  try {
    await trial(page);
    await page.check(at.address);
    if (shared) at.page = page;
  } finally {
    if (at.page !== page) await page.tab.close();
  }
}

// until asks in the tab, again and again, until predicate(...args) is truthy, and returns what it
// returned. (Puppeteer's own waitForFunction makes code from text, which the page's policy forbids.)
export async function until(tab, what, predicate, ...args) {
  try {
    return await eventually(what, () => tab.evaluate(predicate, ...args));
  } catch (error) {
    error.message += `; the answer is: ${await tab.evaluate(() => document.getElementById("answer")?.textContent)}`;
    throw error;
  }
}

// eventually asks, again and again, until what it is given answers with something, and returns that.
export async function eventually(what, ask) {
  const end = Date.now() + patience;
  for (;;) {
    const value = await ask();
    if (value) return value;
    assert.ok(Date.now() < end, `waited ${patience / 1000} s in vain for: ${what}`);
    await pause(15);
  }
}

class Page {
  constructor(tab) {
    this.tab = tab;
    // What no page of this project may do: warnings and errors on the console, uncaught exceptions,
    // breaches of its own policy.
    this.faults = [];
    // Every address that was asked for.
    this.requests = [];
  }

  // prepare sets the tab up. What another trial left in the browser's storage is cleared, unless it is to be kept.
  async prepare({ width = 1200, height = 900, scale = 1, keeps = false }) {
    const { tab } = this;
    await tab.setViewport({ width, height, deviceScaleFactor: scale });
    tab.on("request", (request) => this.requests.push(request.url()));
    tab.on("requestfailed", (request) => {
      // What the preview was to show is given up where something newer is to be shown, or the tab is closed. That it
      // shows the newest at last is held by tests of its own.
      if (request.isNavigationRequest() && request.frame() !== tab.mainFrame()) return;
      this.faults.push(`request failed: ${request.url()} ${request.failure()?.errorText}`);
    });
    tab.on("console", (message) => {
      if (["error", "warn", "warning", "assert"].includes(message.type()))
        this.faults.push(`console: ${message.text()}`);
    });
    tab.on("pageerror", (error) => {
      // In Firefox's words, the same, where the service worker was about to answer.
      if (/^Failed to load ‘’\. A ServiceWorker intercepted/.test(error.message)) return;
      this.faults.push(`uncaught: ${error.message ?? error}`);
    });
    tab.on("error", (error) => this.faults.push(`the tab crashed: ${error.message}`));
    if (!keeps) await tab.evaluateOnNewDocument(() => {
      if (!/^(file|http):/.test(location.protocol) || globalThis.origin === "null" && location.protocol === "http:")
        return; // a page in a sandbox has no storage
      for (const key of Object.keys(localStorage)) if (key.startsWith("nodespan.")) localStorage.removeItem(key);
    });
    await tab.evaluateOnNewDocument(() => {
      globalThis.watch = { breaches: [], written: [], workers: [], drawnBefore: 0 };
      document.addEventListener("securitypolicyviolation",
        (e) => watch.breaches.push(`${e.violatedDirective} ${e.blockedURI}`));
      // Whether a solve of what stands there runs, long enough to be stopped, and is not merely waited for.
      document.addEventListener("input", () => (watch.changed = performance.now()), true);
      watch.solving = () => !document.getElementById("cancel").hidden && performance.now() - watch.changed > 400;
      // The workers, for the test that lets one die.
      const Original = globalThis.Worker;
      globalThis.Worker = class extends Original {
        constructor(...args) {
          super(...args);
          watch.workers.push(this);
        }
      };
      // What is written to the clipboard. The real one needs a permission that not every browser can be given here.
      if (navigator.clipboard) {
        Object.defineProperty(navigator.clipboard, "writeText", {
          value: (text) => {
            watch.written.push(text);
            return Promise.resolve();
          },
        });
      }
    });
  }

  // text returns what a person reads in an element.
  text(id) {
    return this.tab.evaluate((id) => document.getElementById(id).innerText.trim(), id);
  }

  // reset brings a used page back to the first demonstration.
  async reset() {
    await this.tab.evaluate(() => {
      document.querySelectorAll("details").forEach((d) => (d.open = false));
      document.getElementById("ask").value = "";
      for (const id of ["others", "errors"]) document.getElementById(id).checked = false;
      const numbers = document.getElementById("numbers");
      if (numbers.value) {
        numbers.value = "";
        numbers.dispatchEvent(new Event("input", { bubbles: true }));
      }
    });
    await this.tab.focus("#figure");
    await this.tab.keyboard.press("Escape"); // shows the whole interval
    await this.solved(async () => {
      await this.setMethod({ "method-name": "", family: "", nodes: "", elements: "", digits: "8" });
      await this.paste(this.first);
    });
  }

  // solved does something, waits until a new answer, its table and its figure have come, and returns the
  // answer's text. What is shown before is told apart from what comes by a mark on its nodes. Without
  // anything to do, the answer that comes when the page opens will do.
  async solved(action) {
    if (action) await this.#remember();
    await action?.();
    const answer = await until(this.tab, "an answer with its table and figure", () => {
      const fresh = (selector) => document.querySelector(selector) && !document.querySelector(selector).seenBefore;
      const drawn = performance.getEntriesByType("mark").filter((m) => /^nodespan-(first-answer|redraw)$/.test(
        m.name)).length;
      // While it is busy, what is said of a fault may be of the sheet before.
      if (document.getElementById("answer").getAttribute("aria-busy") !== "false") return false;
      const ready = fresh("#answer > .headline") && fresh("#node-table > tbody") && drawn > watch.drawnBefore &&
        document.getElementById("cancel").hidden;
      const wrong = document.querySelector("#sheet[aria-invalid]") && document.getElementById("fault").innerText;
      return wrong ? { wrong } : ready && document.getElementById("answer").innerText;
    });
    assert.ok(!answer.wrong, `the sheet is called faulty: ${answer.wrong}\n${await this.sheet()}`);
    return answer;
  }

  // answered does something and waits until the answer says something new, figure or not.
  async answered(action) {
    if (action) await this.#remember();
    await action?.();
    return until(this.tab, "an answer", () => {
      const headline = document.querySelector("#answer > .headline");
      return headline && !headline.seenBefore &&
        document.getElementById("answer").getAttribute("aria-busy") === "false" && headline.innerText;
    });
  }

  // faulted does something and waits for the sentence that says what is wrong with the sheet.
  async faulted(action) {
    if (action) await this.tab.evaluate(() => (document.getElementById("fault").textContent = ""));
    await action?.();
    return until(this.tab, "a fault sentence",
      () => document.getElementById("answer").getAttribute("aria-busy") === "false" &&
      document.getElementById("fault").innerText);
  }

  #remember() {
    return this.tab.evaluate(() => {
      for (const e of document.querySelectorAll("#answer > *, #node-table > tbody")) e.seenBefore = true;
      document.getElementById("fault").textContent = "";
      watch.drawnBefore = performance.getEntriesByType("mark").filter((m) => /^nodespan-(first-answer|redraw)$/.test(
        m.name)).length;
    });
  }

  // paste puts text in the place of what the sheet holds, by an edit that the page is told of, as a paste is.
  async paste(text) {
    await this.tab.evaluate((text) => {
      const area = document.getElementById("sheet");
      area.focus();
      area.select();
      document.execCommand("insertText", false, text);
    }, text);
  }

  sheet() {
    return this.tab.evaluate(() => document.getElementById("sheet").value);
  }

  // setMethod changes the controls of the method sentence, given by their ids, as a person does.
  async setMethod(controls) {
    await this.tab.evaluate((controls) => {
      for (const [id, value] of Object.entries(controls)) {
        const control = document.getElementById(id);
        control.value = value;
        control.dispatchEvent(new Event("input", { bubbles: true }));
        control.dispatchEvent(new Event("change", { bubbles: true }));
      }
    }, controls);
  }

  // put replaces what a field holds by one edit, as a paste does: no state in between is looked at.
  put(id, text) {
    return this.putInto("#" + id, text);
  }

  async putInto(selector, text) {
    await this.tab.evaluate((selector, text) => {
      const field = document.querySelector(selector);
      field.focus();
      field.select();
      document.execCommand("insertText", false, text);
      if (text === "" && field.value !== "") document.execCommand("delete");
    }, selector, text);
  }

  // frame waits until the page has drawn what it has to.
  frame() {
    return this.tab.evaluate(() => new Promise((resolve) => requestAnimationFrame(
      () => requestAnimationFrame(resolve))));
  }

  // rested waits until what comes after an answer has come: what is below the ladder moves when its sentences grow.
  // Where none is to come, that is not waited for long.
  async rested() {
    const end = Date.now() + 3000;
    const awaits = () => {
      const section = document.getElementById("ladders");
      if (document.getElementById("answer").getAttribute("aria-busy") === "true") return false;
      return !section.hidden && (document.querySelector("#ladders.awaited, #ladders .awaited") !== null ||
        document.getElementById("ladder-text").textContent === "");
    };
    while (Date.now() < end && (await this.tab.evaluate(awaits))) await pause(15);
  }

  // press clicks on something as a person does: where it stands on the screen, again where it moved away under the
  // pointer.
  async press(selector) {
    await this.rested();
    const target = await this.tab.$(selector);
    assert.ok(target, `there is no ${selector}`);
    for (let times = 0; ; times++) {
      await target.evaluate((e) => {
        watch.pressed = false;
        e.addEventListener("click", () => (watch.pressed = true), { once: true, capture: true });
      });
      await target.click();
      if (await this.tab.evaluate(() => watch.pressed)) break;
      assert.ok(times < 5, `${selector} moves away under the pointer`);
    }
    await target.dispose();
  }

  // copied presses a button that copies, and returns what was copied.
  async copied(selector) {
    await this.tab.evaluate(() => (watch.written = []));
    await this.press(selector);
    return until(this.tab, `something copied by ${selector}`, () => watch.written[0]);
  }

  // table returns the node table as it is shown: its head, and its rows of numbers.
  table() {
    return this.tab.evaluate(() => {
      const cells = (row) => [...row.cells].map((cell) => cell.innerText.trim());
      const [head, ...rows] = [...document.getElementById("node-table").rows].map(cells);
      return { head, rows };
    });
  }

  // picture returns a sum over the pixels of a canvas, which changes when the picture does, and the
  // share of pixels that are drawn on.
  picture(id) {
    return this.tab.evaluate((id) => {
      const canvas = document.getElementById(id);
      // Read from a copy: reading a canvas itself makes the browser keep it elsewhere from then on, and say so.
      const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext("2d", { willReadFrequently: true });
      copy.drawImage(canvas, 0, 0);
      const { data } = copy.getImageData(0, 0, canvas.width, canvas.height);
      let sum = 0;
      let ink = 0;
      for (let i = 0; i < data.length; i += 4) {
        sum = (sum * 31 + data[i] + 3 * data[i + 1] + 7 * data[i + 2] + 11 * data[i + 3]) % 4294967291;
        if (data[i] !== data[0] || data[i + 1] !== data[1] || data[i + 2] !== data[2] || data[i + 3] !== data[3]) ink++;
      }
      return { sum, ink: ink / (data.length / 4), width: canvas.width };
    }, id);
  }

  // keystroke types one character at the end of the sheet and returns the milliseconds until the figure is redrawn.
  async keystroke(character) {
    let start;
    await this.solved(async () => {
      start = await this.tab.evaluate((character) => {
        const area = document.getElementById("sheet");
        area.focus();
        area.setSelectionRange(area.value.length, area.value.length);
        const start = performance.now();
        document.execCommand("insertText", false, character);
        return start;
      }, character);
    });
    return this.tab.evaluate((start) => performance.getEntriesByName("nodespan-redraw").find(
      (m) => m.startTime >= start).startTime - start, start);
  }

  // check holds the page to what no page of this project may do. Addresses must lie under `origin`, or
  // be made by the page itself.
  async check(origin) {
    const breaches = await this.tab.evaluate(() => watch.breaches.splice(0));
    assert.deepEqual([...this.faults.splice(0), ...breaches], [],
      "console errors, exceptions or breaches of the policy");
    const foreign = this.requests.filter((url) => !url.startsWith(origin) && !url.startsWith("data:") &&
      !url.startsWith("blob:"));
    assert.deepEqual(foreign, [], "addresses asked for that are not the page's own");
  }
}
