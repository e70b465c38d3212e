// Compresses a file as Brotli (RFC 7932).
//
//	node brotli.mjs IN OUT
import { readFile, writeFile } from "node:fs/promises";
import { brotliCompressSync, constants } from "node:zlib";

const [input, output] = process.argv.slice(2);
const data = await readFile(input);
await writeFile(output, brotliCompressSync(data, { params: {
  [constants.BROTLI_PARAM_QUALITY]: 11,
  [constants.BROTLI_PARAM_LGWIN]: 24,
  [constants.BROTLI_PARAM_SIZE_HINT]: data.length,
} }));
