"""A host at the far end of a mobile link: packed as hosts pack, so many bits a second in all, a delay for each request."""

from __future__ import annotations

import contextlib
import gzip
import threading
import time
from collections.abc import Iterator
from functools import lru_cache
from http.server import ThreadingHTTPServer
from pathlib import Path

from serve import Handler

RATE = 8.1e6 / 8  # [bytes/s] and
DELAY = 0.165  # [s] of what browsers' own tools call a fast mobile link of the fourth generation
PIECE = 16384  # [bytes]
PACKED = (".html", ".js", ".mjs", ".css", ".wasm", ".json", ".svg", ".webmanifest")


class Line:
    """Lets bytes through at a steady rate, whoever sends them."""

    def __init__(self, rate: float) -> None:
        self.rate, self.free, self.lock = rate, 0.0, threading.Lock()

    def send(self, count: int) -> None:
        with self.lock:
            self.free = max(self.free, time.monotonic()) + count / self.rate
            until = self.free
        time.sleep(max(until - time.monotonic(), 0))


@lru_cache
def packed(path: Path) -> bytes:
    data = path.read_bytes()
    return gzip.compress(data, 6, mtime=0) if path.suffix in PACKED else data


@contextlib.contextmanager
def linked(
    site: Path, *, rate: float = RATE, delay: float = DELAY, asked: list[str] | None = None
) -> Iterator[str]:
    """Address of the site behind such a link; ``asked`` gets each path that was asked for."""
    line = Line(rate)

    class Far(Handler):
        def do_GET(self) -> None:  # noqa: N802, the name is http.server's
            if asked is not None:
                asked.append(self.path.partition("?")[0])
            time.sleep(delay)
            path = Path(self.translate_path(self.path))
            path = path / "index.html" if path.is_dir() else path
            if not path.is_file():
                return self.send_error(404)
            body = packed(path)
            self.send_response(200)
            self.send_header("Content-Type", self.guess_type(path))
            self.send_header("Content-Length", str(len(body)))
            if path.suffix in PACKED:
                self.send_header("Content-Encoding", "gzip")
            self.end_headers()
            with contextlib.suppress(OSError):
                for at in range(0, len(body), PIECE):
                    line.send(len(body[at : at + PIECE]))
                    self.wfile.write(body[at : at + PIECE])
            return None

    host = ThreadingHTTPServer(
        ("127.0.0.1", 0), lambda *args, **more: Far(*args, directory=str(site), **more)
    )
    threading.Thread(target=host.serve_forever, daemon=True).start()
    try:
        yield f"http://localhost:{host.server_address[1]}/"
    finally:
        host.shutdown()
        host.server_close()
