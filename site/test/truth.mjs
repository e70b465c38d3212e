// Nothing stale: what is copied, saved and compared belongs to the sheet as it stands, whatever happened a moment ago.
import assert from "node:assert/strict";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { fragment } from "./sharing.mjs";
import { long } from "./sheets.mjs";

// Sheets whose unknowns tell them apart: whatever is made of one names its unknown.
const old = { sheet: "oldone'' = oldone\noldone(0) = 1\noldone(1) = 2", name: "oldone" };
const fresh = { sheet: "newone'' = -newone\nnewone(0) = 1\nnewone(1) = 2", name: "newone" };
const numbers = "0.5 1.3"; // compared with whatever stands there

// The buttons that give something away. The last three write nothing; what they show is looked at.
const giving = "[data-format], [data-save], [data-take]";

// watchGiven records every text that is copied or handed to the browser as a file or a picture, with the sheet of that
// moment.
const watchGiven = (page) =>
  page.tab.evaluate(() => {
    const note = (text) => watch.given.push({ text, sheet: document.getElementById("sheet").value });
    watch.given = [];
    watch.written = { push: note }; // the clipboard's stand-in
    if (watch.givenBefore) return;
    watch.givenBefore = true;
    const create = URL.createObjectURL.bind(URL);
    URL.createObjectURL = (blob) => {
      if (!/^image\/png/.test(blob.type)) blob.text().then(note);
      return create(blob);
    };
    const copy = document.execCommand.bind(document);
    document.execCommand = (command, ...rest) => {
      if (command === "copy") note(document.activeElement.value);
      return copy(command, ...rest);
    };
    document.addEventListener("click", (e) => e.target.closest?.("a[download]") && e.preventDefault(), true);
  });

// pressAll does something in the page and presses every button in the same breath, before the page can do anything
// about it.
const pressAll = (page, change, ...args) => pressWhen(page, "", change, ...args);

// pressWhen does so as soon as a long solve is seen to run ("solving"): however slow the machine is, it still runs
// then.
const pressWhen = (page, when, change, ...args) =>
  until(
    page.tab,
    "a long solve to run",
    (giving, when, change, args) => {
      if (when === "solving" && !watch.solving()) return false;
      const set = (id, value) => {
        const field = document.getElementById(id);
        field.value = value;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      };
      const doing = {
        nothing() {},
        edit: (text) => set("sheet", text),
        method: (controls) => Object.entries(controls).forEach(([id, value]) => set(id, value)),
        example: () => document.querySelector("#examples button").click(),
        open: (hash) => (location.hash = hash),
        stop: () => document.getElementById("cancel").click(),
        die: () => watch.workers.forEach((w) => w.dispatchEvent(new ErrorEvent("error",
          { message: "the test ended it", cancelable: true }))),
        rung() {
          const ladder = document.getElementById("ladder");
          ladder.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true }));
        },
        mode: (to) => {
          const list = document.getElementById("mode");
          list.selectedIndex = to;
          list.dispatchEvent(new Event("input", { bubbles: true }));
        },
      };
      doing[change](...args);
      for (const b of document.querySelectorAll(giving)) b.click();
      document.getElementById("check-method").click();
      document.querySelector("#report-form button").click();
      document.getElementById("numbers").dispatchEvent(new Event("input", { bubbles: true }));
      return true;
    },
    giving,
    when,
    change,
    args,
  );

// settled waits until nothing is on its way any more: the page's own sign, and then what comes in spare time.
async function settled(page) {
  await until(page.tab, "the page to rest",
    () => document.getElementById("answer").getAttribute("aria-busy") === "false");
  await eventually("files to be made",
    () => page.tab.evaluate(() => !/Making the file/.test(document.getElementById("taken").textContent)));
  await until(page.tab, "the comparison", () => !/^Comparing/.test(document.getElementById("verdict").textContent));
  await page.rested();
  await page.frame();
}

// look returns what a person sees below the sheet: what is offered, what is said, how it is marked.
const look = (page) =>
  page.tab.evaluate((giving) => {
    const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden";
    const text = (id) => {
      const e = document.getElementById(id);
      return e.innerText.trim();
    };
    return {
      offered: [...document.querySelectorAll(`${giving}, #check-method, #report-form button`)].filter(
        (b) => seen(b.closest("section, details")) && !b.disabled).length,
      seen: ["figures", "tables", "ladders", "check", "report", "working",
        "take"].filter((id) => seen(document.getElementById(id))),
      past: text("of-last"),
      verdict: text("verdict"),
      compared: seen(document.getElementById("compared-scroll")) ? text("compared") : "",
      checked: text("checked"),
      answer: text("answer"),
      fault: text("fault"),
    };
  }, giving);

// given returns what was given away, and looks at whose it is.
async function given(page, name) {
  const list = await page.tab.evaluate(() => watch.given.splice(0));
  for (const { text, sheet } of list) {
    if (name) assert.ok(text.includes(name), `given away without ${name}: ${text.slice(0, 200)}`);
    // The sheet as it stood when it was given away: only its own unknown may be in it.
    for (const other of [old, fresh]) {
      if (!sheet.includes(other.name))
        assert.ok(!text.includes(other.name),
        `${other.name} given away while the sheet is ${JSON.stringify(sheet)}: ${text.slice(0, 200)}`);
    }
  }
  return list.length;
}

// stand brings the page to the solved old sheet with one's own numbers compared.
async function stand(page, sheet = old.sheet) {
  await page.setMethod({ "method-name": "", nodes: "" });
  await page.tab.evaluate(() => (document.getElementById("report").open = true));
  await page.solved(() => page.paste(sheet + "\n# " + Math.random())); // never the sheet that stands there already
  await page.tab.evaluate((text) => {
    const area = document.getElementById("numbers");
    area.value = text;
    area.dispatchEvent(new Event("input", { bubbles: true }));
  }, numbers);
  await until(page.tab, "a verdict",
    () => /row|right|differ|slip|off/i.test(document.getElementById("verdict").textContent));
  await page.rested();
  await watchGiven(page);
}

const everything = ["figures", "tables", "ladders", "check", "report", "working", "take"];

// Every change of state, and how the page stands afterwards: with an answer of its own (current), with the last
// sheet's, marked (past), with none (nothing).
const changes = [
  { what: "another sheet is typed", do: ["edit", fresh.sheet], then: "current", name: fresh.name },
  { what: "a fault is typed", do: ["edit", fresh.sheet + "\n1/2x = 3"], then: "past" },
  { what: "the sheet is left unfinished", do: ["edit", "newone'' + ("], then: "past" },
  { what: "the sheet is emptied", do: ["edit", ""], then: "past" },
  { what: "a problem without a solution is typed", do: ["edit", "newone'' + newone = 0\nnewone(0) = 0\nnewone(pi) = 1"],
    then: "nothing" },
  { what: "one with infinitely many is typed", do: ["edit", "newone'' + newone = 0\nnewone(0) = 0\nnewone(pi) = 0"],
    then: "nothing" },
  { what: "a sheet too long is typed", do: ["edit", "newone'' = 0 # " + "x".repeat(100_000)], then: "past" },
  { what: "another method is chosen", do: ["method", { "method-name": "pieces" }], then: "current", name: old.name },
  { what: "an example is chosen", do: ["example"], then: "current" },
  { what: "a link is opened", do: ["open", fragment(fresh.sheet)], then: "current", name: fresh.name },
  { what: "a damaged link is opened", do: ["open", "#1.!!!!"], then: "past" },
  { what: "a rung of the ladder is chosen", do: ["rung"], then: "current", name: old.name },
  { what: "another eigenfunction is chosen", from: "oldone'' + mu oldone = 0\noldone(0) = 0\noldone(1) = 0\nmu = ?",
    do: ["mode", 2], then: "current", name: old.name },
];

async function stands(page, change) {
  const now = await look(page);
  switch (change.then) {
    case "current":
      assert.ok(now.offered > 15, `${now.offered} buttons are offered`);
      assert.equal(now.past, "");
      break;
    case "past":
      assert.equal(now.offered, 0, "what belongs to an earlier sheet is not offered");
      assert.deepEqual(now.seen, everything);
      assert.match(now.past, /last sheet/);
      assert.match(now.verdict, /when the sheet has an answer again/);
      assert.equal(now.compared, "");
      break;
    case "nothing":
      assert.deepEqual(now.seen, [], "nothing belongs to a problem without a solution");
      assert.match(now.answer, /solution/);
      assert.match(now.verdict, /no solution to compare/);
      assert.equal(now.compared, "");
      break;
  }
  assert.equal(now.checked, "", "no agreement about another sheet");
}

export function truth(at) {
  for (const change of changes) {
    test(`every button after ${change.what}: nothing of another sheet is given away`, () =>
      inPage(at, async (page) => {
        await stand(page, change.from);
        const sheet = await page.sheet();
        await pressAll(page, ...change.do);
        const [verdict, seen] = await page.tab.evaluate(() => [document.getElementById("verdict").textContent,
          document.getElementById("compared").checkVisibility({ visibilityProperty: true })]);
        assert.match(verdict, /^(Comparing …|There is no solution|These numbers are compared when)/,
          "a verdict is cleared the moment either side changes");
        assert.equal(seen, false);
        if (change.then === "past") await until(page.tab, "the mark",
          () => document.getElementById("of-last").textContent !== "");
        await settled(page);
        await given(page, change.name);
        if (change.then !== "current") {
          await stands(page, change);
          await pressAll(page, "nothing");
          await settled(page);
          assert.equal(await given(page), 0, "nothing is given away");
        } else {
          if (change.name) assert.doesNotMatch(await page.sheet(), /report/,
            "nothing was written into a sheet whose answer had not come");
          await stands(page, change);
          await page.tab.evaluate((giving) => document.querySelectorAll(giving).forEach((b) => b.click()), giving);
          await settled(page);
          assert.ok((await given(page, change.name)) >= 9, "what belongs to the sheet is given away");
        }
        assert.notEqual(change.do[0] === "edit" && (await page.sheet()), sheet);
        // And it recovers.
        await stand(page);
        await page.tab.evaluate((giving) => document.querySelectorAll(giving).forEach((b) => b.click()), giving);
        await settled(page);
        assert.ok((await given(page, old.name)) >= 9);
      }, {}));
  }

  test("while a long solve runs, is stopped, or dies, nothing of the sheet before is given away", () =>
    inPage(at, async (page) => {
      for (const end of ["stop", "die"]) {
        await stand(page);
        await page.setMethod(long.method);
        await pressAll(page, "edit", long.sheet);
        await pressWhen(page, "solving", "nothing");
        await pressWhen(page, "solving", end);
        await until(page.tab, "the page to say so",
          () => /^Stopped|broke off/.test(document.getElementById("answer").innerText));
        await settled(page);
        assert.equal(await given(page), 0, end);
        await stands(page, { then: "past" });
        await pressAll(page, "nothing");
        await settled(page);
        assert.equal(await given(page), 0, `${end}, then everything pressed`);
      }
    }, {}));

  test("what is asked for and not ready when the sheet changes is not given away", () =>
    inPage(at, async (page) => {
      await stand(page);
      await page.tab.evaluate((giving, text) => {
        document.querySelectorAll(giving).forEach((b) => b.click());
        document.getElementById("check-method").click();
        const area = document.getElementById("sheet");
        area.value = text;
        area.dispatchEvent(new Event("input", { bubbles: true }));
      }, giving, fresh.sheet);
      await settled(page);
      await given(page, fresh.name);
      assert.equal((await look(page)).checked, "");
    }, {}));

  test("a verdict goes the moment the numbers change, and comes back about the new ones", () =>
    inPage(at, async (page) => {
      await stand(page);
      const said = await page.tab.evaluate(() => {
        const area = document.getElementById("numbers");
        area.value = "0.5 7";
        area.dispatchEvent(new Event("input", { bubbles: true }));
        return document.getElementById("verdict").textContent;
      });
      assert.equal(said, "Comparing …");
      await settled(page);
      assert.match((await look(page)).compared, /\b7\b/);
    }, {}));

  test("a fault marks what is below as the last readable sheet's, not in the grey of doubt", () =>
    inPage(at, async (page) => {
      const colours = () => page.tab.evaluate(() => ["#answer .headline", "#node-table td", "#reading math",
        "#answer .note"].map((s) => getComputedStyle(document.querySelector(s)).color));
      const before = await colours();
      await page.faulted(() => page.paste("y'' = 1/2x\ny(0) = 1\ny(1) = 0"));
      assert.deepEqual(await colours(), before);
      assert.match(await page.text("of-last"), /answer of the last sheet that could be read/);
      await accessible(page, "marked");
      await page.solved(() => page.paste(fresh.sheet));
      assert.equal(await page.text("of-last"), "");
    }));

  test("a first sheet with a fault does not leave the page starting, and offers nothing", () =>
    inPage(at, async (page) => {
      await page.faulted();
      const now = await look(page);
      assert.match(now.answer, /^There is no answer yet/);
      assert.deepEqual([now.seen, now.offered, now.past], [[], 0, ""]);
      await accessible(page, "nothing below");
      await page.solved(() => page.paste(fresh.sheet));
      assert.deepEqual((await look(page)).seen, everything);
    }, { fragment: fragment("y'' = 1/2x\ny(0) = 1\ny(1) = 0") }));
}
