// The working: asked for, read step by step, entry by entry, with the numbers of the native command.
import assert from "node:assert/strict";
import { test } from "node:test";
import { native } from "./native.mjs";
import { demos } from "./layout.mjs";
import { accessible } from "./looks.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { fin } from "./sheets.mjs";

// opened opens the working and waits for its steps.
async function opened(page) {
  await page.tab.focus("#working > summary");
  // It may be open already: the page remembers how it was left.
  if (!(await page.tab.evaluate(() => document.getElementById("working").open))) await page.tab.keyboard.press("Enter");
  await until(page.tab, "the steps of the working", () => document.querySelectorAll("#steps .step").length > 10 &&
    !document.querySelector("#steps.awaited"));
}

// matrices returns every matrix that is shown, by name: its cells as words.
const matrices = (page) =>
  page.tab.evaluate(() => Object.fromEntries([...document.querySelectorAll("#steps table.matrix")].map((table) => [
    table.dataset.matrix,
    [...table.tBodies[0].rows].map((row) => [...row.cells].slice(1).map((cell) => cell.textContent)),
  ])));

export function working(at) {
  test("the working has the steps and every number of the native command's", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      await opened(page);
      const shown = await matrices(page);
      const { steps, matrices: wanted } = JSON.parse(native(fin.sheet, "-working", "-out", "json"));
      const told = await page.tab.evaluate(() => [...document.querySelectorAll("#steps .sentence")].map(
        (p) => p.textContent));
      assert.equal(told.length, steps.length);
      // The page raises and lowers what stands behind ^ and _, and powers of ten.
      const flat = (text) => text.replaceAll("\u202f×\u202f10", "e").replace(/[_^()−-]/g, "");
      const number = (text) => Number(text.replace("\u202f×\u202f10", "e").replaceAll("−", "-"));
      steps.forEach(({ sentence }, i) => assert.equal(flat(told[i]), flat(sentence)));
      assert.ok(wanted.length > 12, `${wanted.length} matrices`);
      for (const { name, values } of wanted) {
        assert.ok(shown[name], `${name} is shown`);
        const largest = Math.max(...values.flat().map(Math.abs));
        if (name.startsWith("check")) continue; // rounding alone
        values.forEach((row, i) => row.forEach((value, j) => {
          const cell = shown[name][i][j];
          if (value === null) assert.equal(cell, "·", `${name}, ${i}, ${j}`);
          else assert.ok(Math.abs(number(cell) - value) <= 5.1e-6 * Math.abs(value) + 1e-10 * largest,
            `${name}, ${i}, ${j}: ${cell} for ${value}`); // six figures, and rounding
        }));
      }
      // Rows are shown before and after the conditions take them over.
      const taken = await page.tab.evaluate(() => [...document.querySelectorAll("#steps tr.taken")].length);
      assert.equal(taken, 4 * 2, "two conditions, in A and b, before and after");
    }));

  test("arrow keys move from entry to entry; each says how it came about and marks what it came from", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      await opened(page);
      await page.tab.focus("table[data-matrix=V] tbody td");
      await page.tab.keyboard.press("ArrowRight");
      await page.tab.keyboard.press("ArrowRight");
      await page.tab.keyboard.press("ArrowDown");
      await until(page.tab, "the keyboard on the second row",
        () => document.activeElement.matches("table[data-matrix=V] tbody tr:nth-child(2) td:nth-of-type(3)"));
      // The entry above, which the keys pass, is in the same column: the words are those of the entry that has the
      // keyboard.
      const row = await page.tab.evaluate(() => document.activeElement.parentNode.querySelector("th").dataset.label);
      const words = await until(page.tab, "how the entry came about", (row) => {
        const text = document.getElementById("came").innerText;
        const told = /^V, row (.*), column s2/.exec(text)?.[1];
        return told === row && text;
      }, row);
      const value = await page.tab.evaluate(() => document.activeElement.textContent);
      assert.ok(words.includes(value), `${words} has ${value}`);
      assert.match(words, /Marked: .*s \(step 4\)/);
      const marked = await page.tab.evaluate(() => ({
        source: [...document.querySelectorAll("#steps td.source")].map((td) => td.closest("table").dataset.matrix),
        pointed: document.querySelector("#steps td.pointed") === document.activeElement,
      }));
      assert.deepEqual(marked, { source: ["s"], pointed: true });
      // The pointer does the same.
      await page.rested();
      await page.tab.hover("table[data-matrix=A] tbody tr:nth-child(2) td:nth-of-type(2)");
      await until(page.tab, "the entry under the pointer",
        () => /^A, row/.test(document.getElementById("came").innerText));
      await page.tab.keyboard.press("End");
      await until(page.tab, "the last entry of the row",
        () => document.activeElement === document.activeElement.parentNode.lastElementChild);
    }));

  test("one step at a time, by buttons and by keys", () =>
    inPage(at, async (page) => {
      await opened(page);
      const visible = () => page.tab.evaluate(() => [...document.querySelectorAll("#steps .step:not([hidden]) h3")].map(
        (h) => h.textContent));
      // Keys are heard in their own time.
      const see = (titles) => eventually(`to see ${titles.length} steps, the first ${titles[0]}`,
        async () => JSON.stringify(await visible()) === JSON.stringify(titles));
      const all = await visible();
      await page.tab.focus("#one-step");
      await page.tab.keyboard.press(" ");
      await see(all.slice(0, 1));
      await page.tab.focus("#next-step");
      await page.tab.keyboard.press("Enter");
      await see(all.slice(1, 2));
      assert.match(await page.text("step-counter"), new RegExp(`^Step 2 of ${all.length}:`));
      await page.tab.keyboard.press("ArrowRight");
      await see(all.slice(2, 3));
      await page.tab.keyboard.press("ArrowLeft");
      await page.tab.keyboard.press("p");
      await see(all.slice(0, 1));
      await page.tab.focus("#one-step");
      await page.tab.keyboard.press(" ");
      await see(all);
    }));

  test("one at a time, steps fit into a projector's window, whole or in parts, by the page keys", () =>
    inPage(at, async (page) => {
      for (const [name, method] of [["wall-in-the-sun", {}], ["floor-joist", {}], ["boiler-coil", {}],
        ["boiler-coil", { "method-name": "one", nodes: "12" }]]) {
        const { sheet } = demos.find((d) => d.name === name);
        await page.solved(async () => {
          await page.setMethod({ "method-name": "", nodes: "", ...method });
          await page.paste(sheet);
        });
        await opened(page);
        if (!(await page.tab.evaluate(() => document.getElementById("one-step").checked))) {
          await page.tab.focus("#one-step");
          await page.tab.keyboard.press(" ");
        }
        await page.tab.focus("#one-step");
        const steps = await page.tab.evaluate(() => document.querySelectorAll("#steps .step").length);
        // What is in the window, and what is not; and which rows of which matrices are shown.
        const look = () => page.tab.evaluate(() => {
          const seen = (e) => e.getClientRects().length > 0;
          const items = [...document.querySelectorAll("#step-counter, #steps h3, #steps .formula, #steps tr")]
            .filter(seen);
          const beyond = items.filter((e) => {
            const { top, bottom } = e.getBoundingClientRect();
            return top < -1 || bottom > innerHeight + 1;
          }).map((e) => `${e.textContent.slice(0, 40)} ${e.getBoundingClientRect().bottom}`);
          const rows = [...document.querySelectorAll("#steps .matrix tbody tr")].filter(seen).map(
            (tr) => `${tr.closest("table").dataset.matrix} ${tr.rowIndex}`);
          const beside = ["A_all", "b_all"].map((m) => document.querySelector(`table[data-matrix=${m}]`)).filter(
            (t) => t && seen(t)).map((t) => Math.round(t.getBoundingClientRect().top));
          return { counter: document.getElementById("step-counter").textContent, beyond, rows, beside };
        });
        const all = await page.tab.evaluate(() => [...document.querySelectorAll("#steps .matrix tbody tr")].map(
          (tr) => `${tr.closest("table").dataset.matrix} ${tr.rowIndex}`));
        for (;;) { // from the first one on
          const { counter } = await look();
          if (/^Step 1 of \d+: [^,]*(, part 1 .*)?$/.test(counter)) break;
          await page.tab.keyboard.press("PageUp");
          await until(page.tab, "the part before", (was) => document.getElementById("step-counter").textContent !== was,
            counter);
        }
        const shown = new Set();
        let parts = 0;
        for (;;) {
          parts++;
          const { counter, beyond, rows, beside } = await look();
          if (parts > 1) assert.deepEqual(beyond, [], `${name}, ${counter}`);
          for (const row of rows) shown.add(row);
          if (beside.length === 2) assert.equal(beside[0], beside[1], `${name}, ${counter}: A beside b`);
          if (/place of rows/.test(counter) && name === "wall-in-the-sun")
            assert.ok(rows.includes("A 1"), `${counter}: before and after in one view`);
          const [, step, of] = counter.match(/^Step (\d+) of (\d+)/);
          const part = counter.match(/part (\d+) of (\d+)$/);
          if (step === of && (!part || part[1] === part[2])) break;
          await page.tab.keyboard.press("PageDown");
          await until(page.tab, `what follows ${counter}`,
            (was) => document.getElementById("step-counter").textContent !== was, counter);
        }
        assert.deepEqual(all.filter((row) => !shown.has(row)), [], `${name}: every row is shown in some part`);
        assert.ok(parts >= steps, `${name}: ${parts} parts of ${steps} steps`);
        if (method.nodes) assert.ok(parts > steps, `${name}: matrices that are too tall come in parts`);
      }
      await page.tab.focus("#one-step");
      await page.tab.keyboard.press(" ");
    }, { width: 1280, height: 720 }));

  test("the working says why it does not take the answer's nodes, and takes them on request", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste("y'' = 2 y + x\ny(0) = 1\ny(1) = 0"));
      await opened(page);
      const used = await page.text("chosen");
      const [, nodes] = used.match(/through (\d+) interior/);
      assert.ok(Number(nodes) > 5 && Number(nodes) <= 12, used);
      assert.match(await page.text("working-why"), new RegExp(`The answer took ${nodes} interior nodes; here are 5`));
      const size = () => page.tab.evaluate(() => document.querySelector("table[data-matrix=A]").tBodies[0].rows.length);
      const before = await size();
      await page.press("#follow");
      await until(page.tab, "the answer's nodes", () => /^These are/.test(
        document.getElementById("working-why").textContent) && !document.querySelector("#steps.awaited"));
      assert.equal((await size()) - before, Number(nodes) - 5);
      await page.press("#follow");
      await until(page.tab, "five nodes", () => /here are 5/.test(document.getElementById("working-why").textContent));
      // Where they are too many, it says so, and none is offered.
      await page.solved(() => page.paste(demos.find((d) => d.name === "wall-in-the-sun").sheet));
      await until(page.tab, "the other answer's", () => /too large to be read/.test(
        document.getElementById("working-why").textContent) && document.getElementById("follow-part").hidden);
    }));

  test("axe-core finds nothing in the working, and on a phone only its matrices scroll sideways", () =>
    inPage(at, async (page) => {
      await opened(page);
      await accessible(page, "working open");
      assert.equal(await page.tab.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0);
      const wide = await page.tab.evaluate(() => [...document.querySelectorAll(".matrix-scroll")].filter(
        (e) => e.scrollWidth > e.clientWidth).length);
      assert.ok(wide > 3, `${wide} matrices scroll`);
      // Their row labels stay in sight.
      const stays = await page.tab.evaluate(() => {
        const box = document.querySelector("table[data-matrix=V]").parentNode;
        const label = box.querySelector("tbody th");
        const before = label.getBoundingClientRect().left;
        box.scrollLeft = 60;
        return box.scrollLeft > 0 && Math.abs(label.getBoundingClientRect().left - before) < 1;
      });
      assert.ok(stays);
    }, { width: 360, height: 720 }));
}
