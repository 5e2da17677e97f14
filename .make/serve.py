"""A small server for the built site, on this machine only."""

from __future__ import annotations

import functools
import http.server
from pathlib import Path

from console import BuildError, step

TYPES = {
    ".mjs": "text/javascript",
    ".js": "text/javascript",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".gz": "application/octet-stream",
}


class Handler(http.server.SimpleHTTPRequestHandler):
    extensions_map = http.server.SimpleHTTPRequestHandler.extensions_map | TYPES

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        pass


def server(site: Path, port: int) -> http.server.ThreadingHTTPServer:
    """A server bound to this machine; port 0 takes any free one."""
    try:
        return http.server.ThreadingHTTPServer(
            ("127.0.0.1", port), functools.partial(Handler, directory=str(site))
        )
    except OSError as error:
        raise BuildError(
            f"port {port} cannot be used ({error.strerror}); choose another with --port"
        ) from None


def serve(site: Path, port: int) -> None:
    with server(site, port) as running:
        step(f"serving on http://localhost:{running.server_address[1]} (Ctrl+C stops)")
        running.serve_forever()
