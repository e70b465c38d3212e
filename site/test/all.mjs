// The browser tests: everything in both browsers, from disk and from a server on this machine.
//
//	node site/test/all.mjs                      (make test-page builds first what it needs)
//	BROWSERS=firefox PLACES=disk node --test-name-pattern=phone site/test/all.mjs
import { after, before, describe } from "node:test";
import { pathToFileURL } from "node:url";
import { build, launch, names } from "./browsers.mjs";
import { serve } from "./server.mjs";
import { course } from "./course.mjs";
import { doubting } from "./doubting.mjs";
import { embedding } from "./embedding.mjs";
import { finding } from "./finding.mjs";
import { hands } from "./hands.mjs";
import { keeping } from "./keeping.mjs";
import { layout } from "./layout.mjs";
import { looks } from "./looks.mjs";
import { moving } from "./moving.mjs";
import { offline } from "./offline.mjs";
import { paper } from "./paper.mjs";
import { safety } from "./safety.mjs";
import { sharing } from "./sharing.mjs";
import { solving } from "./solving.mjs";
import { taking } from "./takeaway.mjs";
import { truth } from "./truth.mjs";
import { using } from "./using.mjs";
import { working } from "./working.mjs";

const places = process.env.PLACES ? process.env.PLACES.split(",") : ["disk", "server"];

// Both browsers at once: each waits for its own page much of the time.
describe("the page", { concurrency: names.length }, () => {
  for (const name of names) {
    describe(name, { concurrency: 1 }, () => {
      // What the tests share. Before the hooks have run there is no browser: tests read it when they run.
      const fromDisk = { name, place: "disk", address: pathToFileURL(`${build}/nodespan.html`).href };
      const served = { name, place: "server" };
      let server;
      before(async () => {
        server = await serve(`${build}/site`);
        fromDisk.browser = served.browser = await launch(name);
        served.address = server.url;
      });
      after(async () => {
        await fromDisk.browser?.close();
        await server?.close();
      });
      for (const at of [fromDisk, served].filter((at) => places.includes(at.place))) {
        describe(`from ${at.place}`, () => {
          solving(at);
          using(at);
          working(at);
          taking(at);
          doubting(at);
          finding(at);
          truth(at);
          moving(at);
          sharing(at);
          embedding(at);
          course(at);
          keeping(at);
          looks(at);
          if (at.place === "server") {
            // Hands, layout and paper are the same from anywhere.
            hands(at);
            layout(at);
            paper(at);
            offline(at);
          }
          safety(at);
        });
      }
    });
  }
});
