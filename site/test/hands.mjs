// The keyboard and the ear: where the keyboard goes, what is said, and how large what is pressed is.
import assert from "node:assert/strict";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { inPage, until } from "./page.mjs";
import { faulty, fin } from "./sheets.mjs";

const has = (page, id) => until(page.tab, `the keyboard at ${id}`,
  (id) => document.activeElement.id === id || document.activeElement.parentNode.id === id, id);

export function hands(at) {
  test("the first stop skips to the answer, and the address stays", () =>
    inPage(at, async (page) => {
      await page.tab.focus("#skip");
      assert.ok(await page.tab.evaluate(() => {
        const { width, height } = document.getElementById("skip").getBoundingClientRect();
        return width > 50 && height > 20 && getComputedStyle(document.getElementById("skip")).clipPath === "none";
      }), "it is seen while it has the keyboard");
      assert.equal(await page.tab.evaluate(() => document.querySelector("a[href], button, summary, [tabindex]").id),
        "skip");
      await page.tab.keyboard.press("Enter");
      await has(page, "answer");
      assert.notEqual(await page.tab.evaluate(() => location.hash), "#answer", "the address is the sheet's");
    }));

  test("the figure is a slider whose value is what is read, and says which part is shown", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      const slider = () => page.tab.evaluate(() => {
        const figure = document.getElementById("figure");
        return Object.fromEntries(["role", "aria-valuemin", "aria-valuemax", "aria-valuenow", "aria-valuetext"].map(
          (name) => [name, figure.getAttribute(name)]));
      });
      const idle = await slider();
      assert.deepEqual([idle.role, idle["aria-valuemin"], idle["aria-valuemax"]], ["slider", "0", "0.5"]);
      assert.match(idle["aria-valuetext"], /arrow keys/);
      await page.tab.focus("#figure");
      await page.tab.keyboard.press("End");
      await until(page.tab, "the value at the end", () => {
        const figure = document.getElementById("figure");
        return figure.getAttribute("aria-valuenow") === "0.5" && /residual/.test(
          figure.getAttribute("aria-valuetext")) && figure.getAttribute("aria-valuetext") ===
          document.getElementById("readout").textContent;
      });
      await page.tab.keyboard.press("+");
      await until(page.tab, "the part that is shown", () => {
        const said = document.getElementById("zoomed");
        return said.getAttribute("role") === "status" && /^x from 0\.\d+ to 0\.5$/.test(said.textContent);
      });
      await page.tab.keyboard.press("Escape");
      await until(page.tab, "the whole", () => document.getElementById("zoomed").textContent === "" &&
        /arrow keys/.test(document.getElementById("figure").getAttribute("aria-valuetext")));
    }));

  test("a finger reads the figure by a tap, and what it has read stays", () =>
    inPage(at, async (page) => {
      const place = await page.tab.evaluate(() => {
        const figure = document.getElementById("figure");
        figure.scrollIntoView({ block: "center" });
        const { left, top, width, height } = figure.getBoundingClientRect();
        const at = { clientX: left + width / 2, clientY: top + height / 2, bubbles: true, pointerId: 7,
          pointerType: "touch", isPrimary: true };
        for (const type of ["pointerdown", "pointerup", "pointerleave"])
          document.getElementById("drawing").dispatchEvent(new PointerEvent(type, at));
        return document.getElementById("readout").getBoundingClientRect().bottom - top;
      });
      assert.ok(place <= 0, "the values stand above the figure");
      await until(page.tab, "what was read", () => /\d/.test(document.getElementById("readout").innerText));
    }, { width: 390, height: 844 }));

  test("Escape in the ladder leads back to the automatic method", () =>
    inPage(at, async (page) => {
      await page.rested();
      await page.tab.focus("#ladder");
      await page.solved(() => page.tab.keyboard.press("Home"));
      assert.equal(await page.tab.evaluate(() => document.getElementById("method-name").value), "one");
      await page.solved(() => page.tab.keyboard.press("Escape"));
      assert.equal(await page.tab.evaluate(() => document.getElementById("method-name").value), "");
      await has(page, "ladder");
    }));

  test("the keyboard is never lost: examples, the last step, what goes away", () =>
    inPage(at, async (page) => {
      await page.tab.focus("#examples > summary");
      await page.tab.keyboard.press("Enter");
      await page.tab.focus("#examples button:nth-child(2)");
      await page.solved(() => page.tab.keyboard.press("Enter"));
      await has(page, "examples");
      await page.tab.keyboard.press("Enter");
      await page.tab.focus("#examples button:nth-child(2)");
      await page.tab.keyboard.press("Escape");
      await until(page.tab, "the list to close", () => !document.getElementById("examples").open);
      await has(page, "examples");

      await page.press("#working > summary");
      await until(page.tab, "the steps", () => document.querySelectorAll("#steps .step").length > 3);
      await page.tab.focus("#one-step");
      await page.tab.keyboard.press(" ");
      await page.tab.focus("#next-step");
      while (!(await page.tab.evaluate(() => document.getElementById("next-step").disabled))) {
        const was = await page.text("step-counter");
        await page.tab.keyboard.press("Enter");
        await until(page.tab, `what follows ${was}`,
          (was) => document.getElementById("step-counter").innerText.trim() !== was, was);
      }
      await has(page, "previous-step");
      await page.tab.focus("#one-step");
      await page.tab.keyboard.press(" ");

      // A choice that leads to no answer takes what it was made in away.
      await page.tab.focus("#ask");
      await page.answered(() => page.tab.evaluate(() => {
        const area = document.getElementById("sheet");
        area.value = "y'' + y = 0\ny(0) = 0\ny(pi) = 1";
        area.dispatchEvent(new Event("input", { bubbles: true }));
      }));
      await has(page, "answer");
    }));

  for (const [what, size] of [["on a wide screen", { width: 1280, height: 900 }], ["on a phone", { width: 390,
    height: 844 }]]) {
    test(`what is pressed is at least 24 pixels high and wide, ${what}`, () =>
      inPage(at, async (page) => {
        await page.tab.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
        await page.solved(() => page.setMethod({ "method-name": "pieces" }));
        await until(page.tab, "the steps", () => document.querySelectorAll("#steps .step").length > 3 ||
          document.querySelector("#steps .told"));
        const small = await page.tab.evaluate(() => [...document.querySelectorAll(
          "button, summary, select, input, textarea, a[href], [role=slider]")].filter((e) => {
          const box = (e.type === "checkbox" ? e.closest("label") : e).getBoundingClientRect();
          const seen = e.getClientRects().length > 0 && e.id !== "skip";
          return seen && (box.height < 24 || box.width < 24);
        }).map((e) => `${e.id || e.textContent}: ${e.getBoundingClientRect().width} × ${
          e.getBoundingClientRect().height}`));
        assert.deepEqual(small, []);
      }, size));
  }

  if (at.place === "server") {
    test("axe-core finds nothing on a phone, in a frame, with a fault and without a solution", () =>
      inPage(at, async (page) => {
        await accessible(page, "phone");
        await page.tab.focus("#sheet");
        await accessible(page, "phone, writing");
        await page.tab.evaluate(() => (document.querySelector("#examples").open = true));
        await accessible(page, "phone, examples");
        await page.faulted(() => page.paste(faulty[0].sheet));
        await accessible(page, "phone, a fault");
        await page.answered(() => page.paste("y'' + y = 0\ny(0) = 0\ny(pi) = 1"));
        await accessible(page, "phone, no solution");
        await page.tab.evaluate(() => document.documentElement.classList.add("framed"));
        await page.solved(() => page.paste(fin.sheet));
        await accessible(page, "phone, as in a frame");
      }, { width: 390, height: 844 }));
  }
}
