// node image_pack.mjs FILE: pack a file from standard input with Zstandard, with a checksum of the whole.
import fs from "node:fs";
import zlib from "node:zlib";

const { ZSTD_c_compressionLevel, ZSTD_c_windowLog, ZSTD_c_checksumFlag } = zlib.constants;
const params = { [ZSTD_c_compressionLevel]: 22, [ZSTD_c_windowLog]: 26, [ZSTD_c_checksumFlag]: 1 };
fs.writeFileSync(process.argv[2], zlib.zstdCompressSync(fs.readFileSync(0), { params }));
