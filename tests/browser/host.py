"""A host that keeps a start waiting for as long as a test wants."""

import contextlib
import functools
import http.server
import threading

from conftest import SITE
from serve import Handler

LAST = "libs.tar.zst"  # without which no start gets through


class Host:
    """The site from a host that keeps one large file back until `go`; with ``broken``, a memory image that is no good."""

    def __init__(self, *, broken=False) -> None:
        gate = self.gate = threading.Event()

        class Held(Handler):
            def do_GET(self):  # noqa: N802, the name is http.server's
                if self.path.split("?")[0].endswith(LAST):
                    gate.wait(60)
                if broken and self.path.endswith("app/image.zst"):
                    return self.send_error(404)
                with contextlib.suppress(OSError):
                    super().do_GET()
                return None

        handler = functools.partial(Held, directory=str(SITE))
        self.running = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self.address = f"http://localhost:{self.running.server_address[1]}/"
        threading.Thread(target=self.running.serve_forever, daemon=True).start()

    def go(self):
        self.gate.set()

    def stop(self):
        self.gate.set()
        self.running.shutdown()
        self.running.server_close()
