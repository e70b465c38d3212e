// The two browsers that the tests drive: Debian's Chromium and Firefox, or those that CHROMIUM and
// FIREFOX name. Each runs with a fresh profile and cannot reach anything but this machine.
import { accessSync, constants } from "node:fs";
import { delimiter, join, resolve } from "node:path";
import puppeteer from "puppeteer-core";

const programs = {
  chromium: [process.env.CHROMIUM, "chromium", "chromium-browser", "google-chrome"],
  firefox: [process.env.FIREFOX, "firefox-esr", "firefox"],
};

// Where the page was built: `build`, or where BUILD says.
export const build = resolve(process.env.BUILD ?? `${import.meta.dirname}/../../build`);

export const names = process.env.BROWSERS ? process.env.BROWSERS.split(",") : ["chromium", "firefox"];

function find(name) {
  for (const program of programs[name].filter(Boolean)) {
    const places = program.includes("/") ? [program] : process.env.PATH.split(delimiter).map((dir) => join(dir,
      program));
    for (const place of places) {
      try {
        accessSync(place, constants.X_OK);
        return place;
      } catch {}
    }
  }
  throw new Error(`${name} is not installed; set ${name.toUpperCase()} to its path if it has another name`);
}

// launch starts a browser that asks pages for their light or their dark design, and that puts what is downloaded into a
// folder if one is given; whoever calls it closes it.
export function launch(name, { dark = false, downloads } = {}) {
  const common = { executablePath: find(name), headless: true, acceptInsecureCerts: false, timeout: 60_000,
    protocolTimeout: 60_000 };
  if (name === "firefox") {
    return puppeteer.launch({
      ...common,
      browser: "firefox",
      extraPrefsFirefox: {
        "layout.css.prefers-color-scheme.content-override": dark ? 0 : 1,
        // A proxy where nothing listens stands for "no network"; this machine itself needs none.
        "network.proxy.type": 1,
        "network.proxy.http": "127.0.0.1",
        "network.proxy.http_port": 9,
        "network.proxy.ssl": "127.0.0.1",
        "network.proxy.ssl_port": 9,
        "network.proxy.no_proxies_on": "127.0.0.1",
        ...(downloads && {
          "browser.download.folderList": 2, // the folder of the next line
          "browser.download.dir": downloads,
          "browser.download.useDownloadDir": true,
          "browser.helperApps.neverAsk.saveToDisk": [
            "text/plain", "text/html", "text/csv", "text/markdown", "text/x-python", "text/x-matlab",
            "text/x-octave", "text/x-tex", "application/x-tex", "text/tab-separated-values",
            "application/json", "image/svg+xml", "image/png"
          ].join(","),
        }),
      },
    });
  }
  return puppeteer.launch({
    ...common,
    ...(downloads && { downloadBehavior: { policy: "allow", downloadPath: downloads } }),
    args: [
      "--no-sandbox", // these tests may run as root, where Chromium's sandbox does not start
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      `--blink-settings=preferredColorScheme=${dark ? 0 : 1}`,
      "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
    ],
  });
}
