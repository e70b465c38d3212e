// A static server for build/site/, on this machine only: a fixed list of files with their types.
import { createServer } from "node:http";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { extname, join } from "node:path";

const types = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".wasm": "application/wasm",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
  ".svg": "image/svg+xml",
  ".gz": "application/gzip",
  ".zip": "application/zip",
  ".br": "application/octet-stream",
  ".webmanifest": "application/manifest+json",
};

// serve answers for the files of folder until it is closed. wrongTypes replaces types by extension,
// to try the page with a server that does not know WebAssembly; headers are sent with each; changed has other contents
// for some paths. seen lists the paths asked for.
export async function serve(folder, wrongTypes = {}, headers = {}, { port = 0, changed = {} } = {}) {
  const files = new Map();
  for (const name of readdirSync(folder, { recursive: true })) {
    const path = join(folder, name);
    if (!statSync(path).isFile()) continue;
    const type = wrongTypes[extname(name)] ?? types[extname(name)];
    if (!type) throw new Error(`no content type is known for ${name}`);
    files.set("/" + name, { type, body: changed["/" + name] ?? readFileSync(path) });
  }
  const seen = [];
  const server = createServer((request, response) => {
    const path = new URL(request.url, "http://127.0.0.1").pathname;
    seen.push(path);
    const file = files.get(path === "/" ? "/index.html" : path);
    if (request.method !== "GET" || !file) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, { "Content-Type": file.type, "Content-Length": file.body.length, ...headers })
      .end(file.body);
  });
  await new Promise((resolve, reject) => server.once("error", reject).listen(port, "127.0.0.1", resolve));
  return {
    url: `http://127.0.0.1:${server.address().port}/`,
    seen,
    close: () =>
      new Promise((resolve) => {
        server.close(resolve);
        server.closeAllConnections();
      }),
  };
}
