"""What the page unpacks: whole files come out as they went in, bad ones are refused, in whatever pieces they arrive."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SITE = ROOT / "site"
sys.path.insert(0, str(ROOT / ".make"))

SCRIPT = """
import fs from "node:fs";
import zlib from "node:zlib";
import {{ wipe }} from "{site}/image.mjs";
import {{ forgetDecoders, Packed, files }} from "{site}/unpack.mjs";
const decoder = new WebAssembly.Module(fs.readFileSync("{site}/runtime/zstd.wasm"));
const inTurn = (bytes, size) => {{
  const parts = [];
  for (let at = 0; at < bytes.length; at += size) parts.push(new Uint8Array(bytes.subarray(at, at + size)));
  return parts;
}};
const unpacked = (bytes, size = bytes.length) => Buffer.from(new Packed(decoder, inTurn(bytes, size)).all());
const refused = (bytes) => {{ try {{ unpacked(bytes); return false }} catch (error) {{ return String(error) }} }};
const raw = fs.readFileSync("{site}/runtime/pyodide.asm.mjs");
const packed = zlib.zstdCompressSync(raw, {{ params: {{ [zlib.constants.ZSTD_c_checksumFlag]: 1 }} }});
console.log(JSON.stringify(await (async () => {{ {body} }})()));
"""


@pytest.fixture
def run(tmp_path):
    from node import node

    def asked(body):
        script = tmp_path / "ask.mjs"
        script.write_text(SCRIPT.format(site=SITE.as_posix(), body=body), encoding="utf-8")
        done = subprocess.run([str(node()), "--no-warnings", str(script)], capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return asked


@pytest.mark.parametrize("size", [1, 17, 1000, 10**7])
def test_a_file_comes_out_as_it_went_in_whatever_pieces_it_arrives_in(run, size):
    assert run(f"""
        const part = raw.subarray(0, {300_000 if size < 100 else 10**9});
        return part.equals(unpacked(zlib.zstdCompressSync(part), {size}))""")


def test_what_a_host_has_unpacked_already_is_taken_as_it_is(run):
    assert run(
        "return raw.equals(unpacked(raw, 5000)) && unpacked(zlib.zstdCompressSync(Buffer.alloc(0))).length === 0"
    )


@pytest.mark.parametrize(
    "harm",
    [
        "packed.subarray(0, packed.length - 1)",
        "packed.subarray(0, packed.length >> 1)",
        "Buffer.concat([packed, Buffer.from('more')])",
        "Buffer.from(packed.map((byte, n) => (n === packed.length >> 1 ? byte ^ 16 : byte)))",
        "Buffer.from(packed.map((byte, n) => (n === packed.length - 1 ? byte ^ 1 : byte)))",
    ],
    ids=["one byte short", "half", "too long", "a bit in the middle", "the checksum"],
)
def test_a_harmed_file_is_refused(run, harm):
    assert "damaged" in run(f"return refused({harm})")


def test_no_more_is_given_than_there_is(run):
    body = "const one = new Packed(decoder, inTurn(packed, 1e5)); one.bytes(raw.length - 1);"
    assert "damaged" in run(body + "try { one.bytes(2); return '' } catch (error) { return String(error) }")


def test_the_pieces_are_let_go_as_they_are_unpacked(run):
    before, during, after = run("""
        const parts = inTurn(packed, 1e4), before = parts.length;
        const one = new Packed(decoder, parts);
        one.bytes(raw.length >> 1);
        const during = parts.length;
        one.bytes(raw.length - (raw.length >> 1));
        one.finish();
        return [before, during, parts.length]""")
    assert during < 0.7 * before and after == 0


def test_the_decoder_asks_for_nothing_and_is_small():
    from wasm_part import read

    data = (SITE / "runtime" / "zstd.wasm").read_bytes()
    assert len(data) < 100_000
    part = read(data)
    assert part.imported == [] and part.globals_before == 0 and set(part.exports) > {"ZSTD_initStaticDStream"}


def test_archives_hold_every_file_once(run):
    names = run(f"""
        const bytes = new Uint8Array(fs.readFileSync("{SITE.as_posix()}/runtime/boot.tar.zst"));
        return [...files(new Packed(decoder, [bytes]))].map(([name]) => name)""")
    assert len(names) > 300 and len(set(names)) == len(names) and "panel/__init__.pyc" in names


def test_files_that_are_unpacked_in_turn_share_a_decoder_which_can_be_forgotten(run):
    assert run("""
        for (let n = 0; n < 3; n++) unpacked(packed);
        const kept = [forgetDecoders().length, forgetDecoders().length];
        return [...kept, raw.equals(unpacked(packed))]""") == [1, 0, True]


def test_memory_is_wiped_around_the_image_and_written_only_where_something_stood(run):
    """A page that is written takes memory, even if all that is written is zeros."""
    assert run("""
        const memory = new Uint8Array(10 * 4096);
        for (const at of [3 * 4096 + 4095, 5 * 4096, 8 * 4096 + 1]) memory[at] = 7;
        const written = [];
        memory.fill = (value, from, to) => {
          written.push(from / 4096, to / 4096);
          return Uint8Array.prototype.fill.call(memory, value, from, to);
        };
        wipe(memory, [[5, 1]], [[0, 7 * 4096], [8 * 4096 + 1, 9 * 4096]]);
        return [written[0], written[1], written[3], memory.indexOf(7), memory.lastIndexOf(7), memory[3 * 4096 + 4095]]
    """) == [3, 4, 9, 5 * 4096, 5 * 4096, 0]
