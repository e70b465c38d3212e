// Frames in a course page: what the lecturer chooses is what the student sees, wherever the page lies.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { build } from "./browsers.mjs";
import { eventually, inPage, openPage, until } from "./page.mjs";
import { serve } from "./server.mjs";

const sheet = "h = 14\nBi = 2.5 in [0.1, 10]\nk = 3 in [1, 9]\nT'' = Bi T\nT(0) = 1\nT'(1) = 0";

// viewed makes a link of the second version by the published form (DEVELOPERS.md), without the page's own code.
const packed = (text) => "#2." + deflateRawSync(text).toString("base64url");
const viewed = (view, title = "", caption = "", text = sheet) => packed(["", view, title, caption, text].join("\n"));

// hostile are links that nobody makes by accident. (wasm/worker has more of them, without a browser.)
function hostile() {
  const whole = (text) => "#1." + deflateRawSync("\n" + text).toString("base64url");
  const plain = "y'' = 1\ny(0) = 0\ny(1) = 0";
  const good = viewed("show=answer");
  const bad = ["#2.", "#2.%%%", "#3." + good.slice(3), "#10." + good.slice(3), packed("\ny"), packed("x".repeat(9e6)),
    "#1." + "A".repeat(1e5), whole("y".repeat(25e3))];
  for (let i = 4; i < 24; i++) bad.push(good.slice(0, i), good.slice(0, i) + "-" + good.slice(i + 1));
  for (const view of ["", "show=", "show=answer,script", "show=answer,answer", "show=answer onload=alert(1)",
    "show=answer theme=<script>", "show=answer height=-1", "show=answer height=1e9", "show=answer sheet=open",
    "show=answer\u202e", "show=" + "answer,".repeat(3000), "show=answer sliders=" + "a".repeat(3000)])
    bad.push(viewed(view));
  for (const text of ["<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "<svg/onload=alert(1)>",
    '"><iframe src=javascript:alert(1)>', "javascript:alert(1)", "${alert(1)}", "</textarea><b>", "<!--"])
    bad.push(whole(text), whole(`${plain} # ${text}`), viewed("show=answer", text), viewed("show=answer", "", text),
      viewed("show=answer " + text), viewed("show=answer", "", "", text));
  for (const code of [0, 7, 27, 0x61c, 0x200e, 0x200f, 0x202a, 0x202b, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068,
    0x2069]) {
    const c = String.fromCharCode(code);
    bad.push(viewed("show=answer", c + "abc"), viewed("show=answer", "", c), whole(c + plain), whole(plain + c + "1"),
      viewed("show=answer sliders=" + c));
  }
  for (const open of ["(", "{", "sqrt(", "-(-", "x^(", "if(x<"])
    for (const n of [200, 1000, 3000]) bad.push(whole("y'' = " + open.repeat(n)));
  for (const text of ["t".repeat(1000), "t".repeat(70_000)]) bad.push(viewed("show=answer", text), viewed("show=answer",
    "", text + text));
  return bad.toSorted(); // those that show the whole page first: behind a view it comes back by loading it anew
}

// seen tells what of the page is to be seen, in its order.
const seen = (tab) => tab.evaluate(() => ["view-title", "sheet", "answers", "method", "figures", "residual", "tables",
  "ladders", "working", "own"].map((id) => document.getElementById(id) ?? document.querySelector("." + id))
  .filter((e) => e?.checkVisibility() && e.getClientRects().length)
  .map((e) => ({ name: e.id || e.className, top: e.getBoundingClientRect().top }))
  .toSorted((a, b) => a.top - b.top).map((e) => e.name));

// course serves a page with frames in it, and hands it over.
async function course(at, body, trial, headers = {}) {
  const server = createServer((request, response) => request.url === "/" ?
    response.writeHead(200, { "Content-Type": "text/html; charset=utf-8", ...headers })
      .end(`<!doctype html><html lang="en"><title>Course</title><link rel="icon" href="data:,">
        <body style="margin:0">${body}`) : response.writeHead(404).end());
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const page = await openPage(at.browser, `http://127.0.0.1:${server.address().port}/`);
  try {
    await trial(page);
    assert.deepEqual(page.faults, []);
  } finally {
    await page.tab.close();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
  }
}

// framesOf are the frames of the page itself: each has one of its own, for the form's preview.
const framesOf = (page, count) => eventually(`${count} frames`, () => {
  const frames = page.tab.mainFrame().childFrames();
  return frames.length === count && frames;
});
const answerIn = (frame) => eventually("an answer in the frame", () => frame.evaluate(
  () => document.querySelector("#answer > .headline")?.innerText));

export function embedding(at) {
  for (const [view, shown, sliders] of [
    ["show=answer,figure", ["answers", "figures"], ["Bi", "k"]],
    ["show=figure,answer sheet=hidden sliders=k", ["figures", "answers"], ["k"]],
    ["show=table,figure,residual sheet=shown sliders=-", ["sheet", "tables", "figures", "residual"], []],
    ["show=answer method=free sheet=editable", ["sheet", "answers", "method"], ["Bi", "k"]],
    ["show=own,ladder,answer sheet=hidden", ["own", "ladders", "answers"], ["Bi", "k"]],
  ]) {
    test(`a view is shown: ${view}`, () =>
      inPage(at, async (page) => {
        await page.answered();
        await until(page.tab, "the sliders", (n) => document.querySelectorAll(".slider").length === n, sliders.length);
        assert.deepEqual(await seen(page.tab), shown);
        assert.deepEqual(await page.tab.evaluate(() => [...document.querySelectorAll(".slider")].map(
          (s) => s.ariaLabel)), sliders);
        assert.equal(await page.tab.evaluate(() => document.getElementById("sheet").readOnly),
          !view.includes("editable"));
        assert.ok(await page.tab.evaluate(
          () => document.documentElement.scrollWidth <= document.documentElement.clientWidth), "no sideways scrolling");
      }, { fragment: viewed(view), width: 320 }));
  }

  test("title, caption and colours are as chosen, and mark-up in them stays text", () =>
    inPage(at, async (page) => {
      await page.answered();
      assert.equal(await page.tab.evaluate(() => document.querySelector(".view-title").textContent),
        "A <img src=x> fin");
      assert.match(await page.text("main"), /What if <b>h<\/b> doubles\?/);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("main img, main b").length), 0);
      assert.ok(await page.tab.evaluate(() => getComputedStyle(document.documentElement).colorScheme === "dark"));
    }, { fragment: viewed("show=answer theme=dark", "A <img src=x> fin", "What if <b>h</b> doubles?") }));

  test("a slider in a view whose sheet is hidden moves the answer", () =>
    inPage(at, async (page) => {
      const before = await page.answered();
      await page.tab.evaluate(() => {
        const slider = document.querySelector(".slider");
        slider.value = 1000;
        slider.dispatchEvent(new Event("input", { bubbles: true }));
        slider.dispatchEvent(new Event("change", { bubbles: true }));
      });
      await until(page.tab, "another answer", (before) => document.querySelector("#answer > .headline").innerText !==
        before && document.getElementById("answer").ariaBusy === "false", before);
      assert.match(await page.sheet(), /Bi = 10 in/);
    }, { fragment: viewed("show=answer,figure sheet=hidden") }));

  test("the form's choices are in the frame that is copied, and in its preview", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(sheet));
      const usual = await page.copied("#copy-frame");
      assert.match(usual, /^<iframe src="[^"]+#2\.[\w-]+" title="[^"]+" width="100%" height="480"/);
      const told = await page.text("frame-told");
      if (at.place === "disk") assert.match(told, /opened from disk.*beside the course page/);
      else assert.equal(told, "");
      await page.tab.evaluate(() => (document.getElementById("frame-part").open = true));
      await until(page.tab, "two sliders to choose",
        () => document.querySelectorAll("#frame-sliders input").length === 2);
      await page.tab.evaluate(() => {
        const set = (selector, how) => {
          const field = document.querySelector(selector);
          how(field);
          field.dispatchEvent(new Event("input", { bubbles: true }));
        };
        set("#frame-sections [value=answer]", (e) => (e.checked = false));
        set("#frame-sections [value=table]", (e) => (e.checked = true));
        set("#frame-sliders [value=Bi]", (e) => (e.checked = false));
        set("#frame-sheet", (e) => (e.value = "hidden"));
        set("#frame-title", (e) => (e.value = 'A "thin" fin'));
        set("#frame-height", (e) => (e.value = "333"));
      });
      for (let i = 0; i < 3; i++) await page.tab.evaluate(() => document.querySelector(
        "#frame-sections button[value=table]")?.click());
      const snippet = await page.copied("#copy-frame");
      assert.match(snippet, /title="A &quot;thin&quot; fin" width="100%" height="333"/);
      const preview = await eventually("the preview", async () => page.tab.mainFrame().childFrames()[0]);
      await until(preview, "what was chosen", () => document.querySelector("#node-table tbody td") &&
        document.documentElement.classList.contains("viewed") && document.querySelectorAll(".slider").length === 1);
      await eventually("its order", async () => (await seen(preview)).join() === "view-title,tables,figures");
      // An address on a disk is not copied.
      await page.put("frame-address", "C:\\courses\\nodespan.html");
      assert.match(await page.text("frame-told"), /your own disk/);
      await page.press("#copy-frame");
      assert.match(await page.text("copied-link"), /Not copied/);
    }, {}));

  if (at.place !== "server") return;

  test("two hundred hostile links do no harm and are told of, one after another in one page", async () => {
    const bad = hostile();
    assert.ok(bad.length >= 200, `${bad.length} links`);
    await inPage(at, async (page) => {
      await page.tab.evaluate(() => (globalThis.alert = () => (watch.alarmed = true)));
      for (const hash of bad) {
        await page.tab.evaluate((hash) => {
          for (const e of document.querySelectorAll("#answer > *")) e.seenBefore = true;
          document.getElementById("fault").textContent = "";
          history.replaceState(null, "", "#");
          location.hash = hash;
        }, hash);
        const said = await until(page.tab, `something about ${hash.slice(0, 60)}`, () => {
          if (document.getElementById("answer").getAttribute("aria-busy") !== "false") return false;
          const headline = document.querySelector("#answer > .headline");
          return document.getElementById("fault").innerText || headline && !headline.seenBefore && headline.innerText;
        });
        assert.ok(said.length > 5, said);
        assert.deepEqual(await page.tab.evaluate(() => [document.querySelectorAll("main script, main img, main iframe")
          .length, watch.alarmed ?? false]), [1, false], "the form's preview alone is a frame");
      }
      await page.solved(() => page.tab.evaluate((hash) => (location.hash = hash), viewed("show=answer,figure")));
    }, {});
  });

  test("a frame announces its height to the page around it, and frame.js follows", () =>
    course(at, `<script>addEventListener("message", (e) => (globalThis.heard ??= []).push(e.data))</script>
      <script src="${at.address}frame.js"></script>
      <iframe src="${at.address}${viewed("show=answer,figure")}" width="320" height="100" style="border:0"></iframe>`,
    async (page) => {
      const [frame] = await framesOf(page, 1);
      await answerIn(frame);
      await eventually("a frame that fits", async () => {
        const height = await frame.evaluate(() => document.body.getBoundingClientRect().height);
        const outer = await page.tab.evaluate(() => document.querySelector("iframe").clientHeight);
        return height > 300 && Math.abs(outer - height) <= 1;
      });
      const heard = await page.tab.evaluate(() => heard);
      assert.deepEqual(Object.keys(heard.at(-1)).toSorted(), ["height", "subject"]);
      assert.equal(heard.at(-1).subject, "lti.frameResize");
      assert.ok(heard.length < 30, `${heard.length} messages: it comes to rest`);
    }));

  test("three frames on one page under a strict policy, 320 pixels wide", () =>
    course(at, ["show=answer,figure", "show=figure sheet=hidden", "show=table"].map((view) =>
      `<iframe src="${at.address}${viewed(view)}" width="320" height="500"></iframe>`).join(""), async (page) => {
      for (const frame of await framesOf(page, 3)) {
        await answerIn(frame);
        assert.ok(await frame.evaluate(
          () => document.documentElement.scrollWidth <= document.documentElement.clientWidth));
      }
    }, { "Content-Security-Policy": `default-src 'none'; frame-src ${at.address}; img-src data:; style-src-attr ` +
      "'unsafe-inline'" }));

  test("in a sandbox without its origin the page works where the server allows it, and else says what is missing",
    async () => {
      const open = await serve(`${build}/site`, {}, { "Access-Control-Allow-Origin": "*" });
      try {
        const boxed = (address) => `<iframe sandbox="allow-scripts" src="${address}${viewed("show=answer,figure")}"
          width="320" height="500"></iframe>`;
        await course(at, boxed(open.url), async (page) => {
          const [frame] = await framesOf(page, 1);
          assert.match(await answerIn(frame), /0\.394/);
          assert.equal(await frame.evaluate(() => origin), "null");
        });
        await course(at, boxed(at.address), async (page) => {
          const [frame] = await framesOf(page, 1);
          await eventually("what is missing", () => frame.evaluate(() => document.getElementById("answer").innerText
            .includes("Access-Control-Allow-Origin")));
          page.faults.splice(0); // the browser tells its refusal on the console
        });
      } finally {
        await open.close();
      }
    });
}
