// Packs a file as LZMA, in the form of a .lzma file: thirteen bytes of header, then the stream.
//
//	node pack.mjs IN OUT
//
// 7-Zip has no writer for that form, but its own archive holds the same stream, from byte 32 on.
import { readFile, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";

const [input, output] = process.argv.slice(2);
const SevenZip = createRequire(import.meta.url)("7z-wasm");
const [literalBits, dictionary] = [3, 1 << 24];

const data = await readFile(input);
const zip = await SevenZip({ print() {}, printErr: (line) => console.error(line) });
zip.FS.writeFile("in", data);
const status = zip.callMain([
  "a", "-t7z", "-mhc=off", "-mf=off", "-ms=off", "-mmt=off",
  `-m0=LZMA:x=9:d=${dictionary}b:fb=273:mc=200:lc=${literalBits}:lp=0:pb=0`, "out.7z", "in",
]);
if (status) throw new Error(`7-Zip ended with ${status}`);
const archive = zip.FS.readFile("out.7z");
const length = Number(new DataView(archive.buffer, archive.byteOffset).getBigUint64(12, true)); // of what lies before the archive's directory

const packed = Buffer.alloc(13 + length);
packed[0] = literalBits; // lp and pb are 0
packed.writeUInt32LE(dictionary, 1);
packed.writeBigUInt64LE(BigInt(data.length), 5);
packed.set(archive.subarray(32, 32 + length), 13);
await writeFile(output, packed);
