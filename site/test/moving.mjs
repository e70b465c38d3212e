// Constants that move: a range in the sheet is a slider beside its reading, and all follows it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { eventually, inPage, until } from "./page.mjs";

const sheet = "h = 14  # W/(m^2 K)\nBi = 2.5 in [0.1, 10]\nT'' = Bi T\nT(0) = 1\nT'(1) = 0";
// T(1) of T'' = Bi T, T(0) = 1, T'(1) = 0: the fin with an insulated tip, 1/cosh(sqrt(Bi)).
const tip = (bi) => 1 / Math.cosh(Math.sqrt(bi));

// headline is the number of the headline.
const headline = (page) => page.tab.evaluate(() => Number(document.querySelector("#answer > .headline").textContent
  .split("=").pop().replaceAll(/\s/g, "").replace("−", "-")));

// drag moves a slider without letting it go.
const drag = (page, name, to) => page.tab.evaluate((name, to) => {
  const slider = document.querySelector(`#reading .slider[aria-label="${name}"]`);
  slider.focus();
  slider.value = to;
  slider.dispatchEvent(new Event("input", { bubbles: true }));
}, name, to);

const letGo = (page, name) => page.tab.evaluate((name) => document.querySelector(
  `#reading .slider[aria-label="${name}"]`).dispatchEvent(new Event("change", { bubbles: true })), name);

const focused = (page) => page.tab.evaluate(() => document.activeElement.ariaLabel ?? document.activeElement.id);

export function moving(at) {
  test("answer, figure, table and reading follow a slider, and the sheet when it rests", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(sheet));
      const before = { figure: await page.picture("figure"), table: await page.table() };
      for (const [position, value] of [[0, 0.1], [500, 1], [1000, 10]]) {
        await drag(page, "Bi", position);
        await eventually(`the answer for Bi = ${value}`,
          async () => Math.abs(await headline(page) - tip(value)) < 1e-7);
        assert.equal(await page.sheet(), sheet, "the sheet stays until the slider rests");
        assert.equal(await page.tab.evaluate(() => document.getElementById("answer").ariaBusy), "true");
        assert.match(await page.text("reading"), new RegExp(`Bi\\s*=\\s*${value}\\s*∈`));
      }
      assert.notDeepEqual((await page.table()).rows, before.table.rows);
      assert.notEqual((await page.picture("figure")).sum, before.figure.sum);
      await page.solved(() => letGo(page, "Bi"));
      assert.equal(await page.sheet(), sheet.replace("2.5", "10"));
      assert.equal(await focused(page), "Bi", "the slider keeps the keyboard");
      await eventually("the address", () => page.tab.evaluate(() => location.hash.startsWith("#1.")));
      // One edit, which Ctrl+Z takes back from the slider itself.
      await page.solved(async () => {
        await page.tab.keyboard.down("Control");
        await page.tab.keyboard.press("z");
        await page.tab.keyboard.up("Control");
      });
      assert.equal(await page.sheet(), sheet);
      assert.ok(Math.abs(await headline(page) - tip(2.5)) < 1e-7);
    }));

  test("keys move a slider, and a number is entered exactly", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(sheet));
      await page.tab.focus("#reading .slider");
      await page.solved(async () => {
        for (const key of ["Home", "ArrowRight", "ArrowRight"]) await page.tab.keyboard.press(key);
      });
      const value = Number((await page.sheet()).match(/Bi = (\S+)/)[1]);
      assert.ok(value > 0.1 && value < 0.11, `${value}: two steps of a logarithmic scale`);
      await page.solved(async () => {
        await page.putInto("#reading .exactly", "3.75");
        await page.tab.keyboard.press("Enter");
      });
      assert.equal(await page.sheet(), sheet.replace("2.5", "3.75"));
      await page.putInto("#reading .exactly", "12");
      await page.tab.keyboard.press("Enter");
      assert.match(await page.text("fault"), /a number from 0\.1 to 10/);
      assert.equal(await page.sheet(), sheet.replace("2.5", "3.75"), "nothing else was written");
    }));

  test("a press on a constant's name writes a range, which can be undone", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(sheet));
      await page.press("#reading .statement.constant math mi");
      await until(page.tab, "a second slider", () => document.querySelectorAll("#reading .slider").length === 2);
      assert.equal(await page.sheet(), sheet.replace("h = 14", "h = 14 in [2.8, 28]"));
      assert.equal(await focused(page), "h");
      await page.tab.keyboard.down("Control");
      await page.tab.keyboard.press("z");
      await page.tab.keyboard.up("Control");
      await until(page.tab, "one slider", () => document.querySelectorAll("#reading .slider").length === 1);
      assert.equal(await page.sheet(), sheet);
      // by its button, with the keyboard
      await page.tab.focus("#reading .slides");
      await page.tab.keyboard.press("Enter");
      await until(page.tab, "a second slider", () => document.querySelectorAll("#reading .slider").length === 2);
    }));

  test("a slider that is moved on and on shows no older answer, and ends with the last", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(sheet));
      // Bi only grows, so T(1) only falls.
      await page.tab.evaluate(() => {
        watch.seen = [];
        new MutationObserver(() => watch.seen.push(document.querySelector("#answer > .headline").textContent))
          .observe(document.getElementById("answer"), { childList: true });
      });
      await page.tab.evaluate(() => new Promise((done) => {
        const slider = document.querySelector("#reading .slider");
        let at = 0;
        const step = () => {
          slider.value = at;
          slider.dispatchEvent(new Event("input", { bubbles: true }));
          if ((at += 20) <= 1000) requestAnimationFrame(step);
          else done();
        };
        step();
      }));
      await page.solved(() => letGo(page, "Bi"));
      const values = (await page.tab.evaluate(() => watch.seen)).map((text) => Number(text.split("=").pop()
        .replaceAll(/\s/g, "")));
      for (let i = 1; i < values.length; i++) assert.ok(values[i] <= values[i - 1], values.join(" "));
      assert.ok(Math.abs(values.at(-1) - tip(10)) < 1e-7);
    }));
}
