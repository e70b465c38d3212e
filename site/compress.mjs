// Compresses a file, as small as a decompressor of browsers' own can undo: as gzip (RFC 1952) by zopfli, or as Brotli
// (RFC 7932).
//
//	node compress.mjs IN OUT.gz
//	node compress.mjs IN OUT.br
import { readFile, writeFile } from "node:fs/promises";
import { brotliCompressSync, constants } from "node:zlib";
import zopfli from "@gfx/zopfli";

const [input, output] = process.argv.slice(2);
const data = await readFile(input);
const compressed = output.endsWith(".gz")
  ? await zopfli.gzipAsync(data, { numiterations: 5 }) // more of them take their time, and save a thousandth each
  : brotliCompressSync(data, { params: {
    [constants.BROTLI_PARAM_QUALITY]: 11,
    [constants.BROTLI_PARAM_LGWIN]: 24,
    [constants.BROTLI_PARAM_SIZE_HINT]: data.length,
  } });
await writeFile(output, compressed);
