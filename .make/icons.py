"""Draws the site's icons: a club's face with a level line of gaps, our own drawing; same bytes every time.

Run it from the project's top folder after changing the drawing: ``python .make/icons.py``.
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

PAPER, ACCENT, INK = (247, 242, 232), (156, 61, 12), (37, 33, 27)
BARS = (
    (0.24, 0.36),
    (0.40, 0.48),
    (0.56, 0.60),
    (0.72, 0.72),
)  # left edge and height, as shares of the square
WIDTH, BASE = 0.10, 0.80
SAMPLES = 4  # a pixel is sampled so many times each way, for smooth edges


def colour(x: float, y: float, *, full: bool) -> tuple[int, int, int, int]:
    """The colour [0-255] at a point of the unit square; outside the rounded corners nothing, unless ``full``."""
    r = 0.18
    dx, dy = max(r - x, x - (1 - r), 0.0), max(r - y, y - (1 - r), 0.0)
    if not full and dx * dx + dy * dy > r * r:
        return (*PAPER, 0)
    if full:  # a maskable icon keeps everything within the inner 80 %
        x, y = (x - 0.5) / 0.8 + 0.5, (y - 0.5) / 0.8 + 0.5
    if BASE <= y <= BASE + 0.03 and 0.16 <= x <= 0.88:
        return (*INK, 255)
    for left, height in BARS:
        if left - WIDTH / 2 <= x <= left + WIDTH / 2 and BASE - height * 0.85 <= y < BASE:
            return (*ACCENT, 255)
    return (*PAPER, 255)


def png(size: int, *, full: bool = False) -> bytes:
    """A square RGBA picture as PNG (ISO/IEC 15948)."""
    rows = bytearray()
    step = 1 / (size * SAMPLES)
    for row in range(size):
        rows.append(0)
        for column in range(size):
            points = [
                colour((column * SAMPLES + i + 0.5) * step, (row * SAMPLES + j + 0.5) * step, full=full)
                for i in (0, 3)
                for j in (0, 3)
            ]
            rows.extend(sum(p[k] for p in points) // len(points) for k in range(4))

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", size, size, 8, 6, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(rows), 9))
        + chunk(b"IEND", b"")
    )


def svg() -> str:
    """The same drawing as SVG."""

    def rgb(c: tuple[int, int, int]) -> str:
        return f"#{c[0]:02x}{c[1]:02x}{c[2]:02x}"

    bars = "".join(
        f'<rect x="{100 * (left - WIDTH / 2):.0f}" y="{100 * (BASE - h * 0.85):.1f}"'
        f' width="{100 * WIDTH:.0f}" height="{85 * h:.1f}"/>'
        for left, h in BARS
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        f'<rect width="100" height="100" rx="18" fill="{rgb(PAPER)}"/>'
        f'<g fill="{rgb(ACCENT)}">{bars}</g><rect x="16" y="80" width="72" height="3" fill="{rgb(INK)}"/></svg>\n'
    )


if __name__ == "__main__":
    place = Path("site/icons")
    place.mkdir(exist_ok=True)
    (place / "fettle.svg").write_text(svg(), encoding="utf-8")
    (place / "fettle-192.png").write_bytes(png(192))
    (place / "fettle-512.png").write_bytes(png(512))
    (place / "fettle-maskable-512.png").write_bytes(png(512, full=True))
