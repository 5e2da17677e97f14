// node pack.mjs DECODER FILE: pack a file from standard input with Zstandard, and see that the page's decoder can undo it.
import fs from "node:fs";
import zlib from "node:zlib";

import { Packed } from "../site/unpack.mjs";

const [, , decoder, file] = process.argv;
const { ZSTD_c_compressionLevel, ZSTD_c_windowLog, ZSTD_c_checksumFlag } = zlib.constants;
// The window is what the page must keep in hand while it unpacks: 8 MB, and 1 % larger than with one of 64 MB.
const params = { [ZSTD_c_compressionLevel]: 22, [ZSTD_c_windowLog]: 23, [ZSTD_c_checksumFlag]: 1 };
const raw = fs.readFileSync(0);
const packed = zlib.zstdCompressSync(raw, { params });
const again = new Packed(new WebAssembly.Module(fs.readFileSync(decoder)), [new Uint8Array(packed)]).all();
if (!raw.equals(again)) throw new Error("what was packed cannot be unpacked again");
fs.writeFileSync(`${file}.new`, packed);
fs.renameSync(`${file}.new`, file);
