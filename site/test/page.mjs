// A page under test: opens it, watches all that it does, and reads and uses it as a person would.
import { setTimeout as pause } from "node:timers/promises";

// The time that anything but a long solve may take, on a slow and busy machine.
const patience = 30_000;

// watched opens a new tab in the browser. `faults` gathers whatever no page of this project may do:
// console messages of level error or warning, uncaught exceptions, breaches of the page's own policy;
// `requests` gathers every address that was asked for.
export async function watched(browser, { width = 1200, height = 900, scale = 1, theme = "light" } = {}) {
  const tab = await browser.newPage();
  await tab.setViewport({ width, height, deviceScaleFactor: scale });
  const seen = { faults: [], requests: [], tab };
  tab.on("request", (request) => seen.requests.push(request.url()));
  tab.on("requestfailed", (request) => seen.faults.push(`request failed: ${request.url()}`));
  tab.on("console", (message) => {
    if (["error", "warn", "warning", "assert"].includes(message.type())) seen.faults.push(`console: ${message.text()}`);
  });
  tab.on("pageerror", (error) => seen.faults.push(`uncaught: ${error.message ?? error}`));
  tab.on("error", (error) => seen.faults.push(`the tab crashed: ${error.message}`));
  await tab.evaluateOnNewDocument(() => {
    globalThis.breaches = [];
    document.addEventListener("securitypolicyviolation", (e) => globalThis.breaches.push(`${e.violatedDirective} ${e.blockedURI}`));
    // What the page writes to the clipboard, kept for the test; the real one is asked all the same.
    globalThis.written = [];
    const clipboard = navigator.clipboard;
    if (clipboard) {
      clipboard.writeText = (text) => {
        globalThis.written.push(text);
        return Promise.resolve();
      };
    }
  });
  if (theme !== "light") await setTheme(tab, theme);
  return seen;
}

// setTheme asks for the dark or the light design.
export function setTheme(tab, theme) {
  return tab.emulateMediaFeatures([{ name: "prefers-color-scheme", value: theme }]);
}

// until asks in the page, again and again, until predicate(...args) is truthy, and returns what it
// returned. (Puppeteer's own waitForFunction makes code from text, which the page's policy forbids.)
export async function until(tab, what, predicate, ...args) {
  const end = Date.now() + patience;
  for (;;) {
    const value = await tab.evaluate(predicate, ...args);
    if (value) return value;
    if (Date.now() > end) {
      const answer = await tab.evaluate(() => document.getElementById("answer")?.textContent);
      throw new Error(`waited ${patience / 1000} s in vain for: ${what}; the answer is: ${answer}`);
    }
    await pause(20);
  }
}
