// Cuts the math font down to what typeset problems and answers use, and writes it as WOFF2.
//
//	node font.mjs OUT.woff2
//
// The whole font is 400 KB; HarfBuzz keeps, with each character below, the taller variants and the
// pieces from which brackets and radicals are stretched (the font's MATH table).
import { readFile, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import subsetFont from "subset-font";

const range = (from, to) => Array.from({ length: to - from + 1 }, (_, i) => String.fromCodePoint(from + i)).join("");

const characters = [
  range(0x20, 0x7e), // Latin, digits, brackets
  "\u00a0±·×÷¬°²³¹¼½¾",
  range(0x391, 0x3a9), // Greek capitals
  range(0x3b1, 0x3c9), // Greek small letters
  "ϑϕϖϰϱϵ",
  range(0x1d434, 0x1d467), // mathematical italic Latin (the italic h is the next line)
  "ℎ",
  range(0x1d6e2, 0x1d71b), // mathematical italic Greek
  "′″‴⁗…∂∇√∛∫∑∏∞∝≈≃≠≡≤≥≪≫∈∉→←↔⟨⟩‖∣⋅∘−∓\u2061\u2062\u2063\u2009\u200a\u2002\u2003",
].join("");

const source = createRequire(import.meta.url).resolve(
  "@fontsource/stix-two-math/files/stix-two-math-latin-400-normal.woff2");
const subset = await subsetFont(await readFile(source), characters, { targetFormat: "woff2" });
await writeFile(process.argv[2], subset);
