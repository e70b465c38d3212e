// The native command, which `make build/nodespan` has built: the page must show the same digits.
import { execFileSync } from "node:child_process";
import { resolve } from "node:path";

const program = resolve(import.meta.dirname, "../../build/nodespan");

// native solves a sheet in the terminal and returns what the command prints.
export function native(sheet, ...flags) {
  return execFileSync(program, flags, { input: sheet, encoding: "utf8", timeout: 60_000 });
}
