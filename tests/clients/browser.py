"""A real Chromium, and a site on an origin of its own for the service to be embedded in."""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Playwright

FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip

Files = dict[str, tuple[str, str]]
"""Content type and text by path."""


@contextmanager
def chromium(
    playwright: "Playwright", color_scheme: str = "light", **more: object
) -> "Iterator[BrowserContext]":
    """A fresh profile of the system's Chromium."""
    program = shutil.which("chromium")
    assert program, "install chromium: these tests are about a real browser"
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        context = playwright.chromium.launch_persistent_context(
            profile,
            executable_path=program,
            headless=True,
            args=FLAGS,
            color_scheme=color_scheme,  # type: ignore[arg-type]
            **more,  # type: ignore[arg-type]
        )
        context.set_default_timeout(10_000)
        try:
            yield context
        finally:
            context.close()


class Site:
    """A small site: files and the Content-Security-Policy that each is sent with."""

    def __init__(self) -> None:
        self.files: Files = {}
        self.policy = ""
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Handler, self))
        self.address = f"http://127.0.0.1:{self._server.server_address[1]}"

    def __enter__(self) -> "Site":
        Thread(target=self._server.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self._server.shutdown()
        self._server.server_close()


class _Handler(BaseHTTPRequestHandler):
    def __init__(self, site: Site, *args: object) -> None:
        self.site = site
        super().__init__(*args)  # type: ignore[arg-type]

    def do_GET(self) -> None:
        found = self.site.files.get(self.path)
        self.send_response(200 if found else 404)
        content_type, text = found or ("text/plain", "nothing here")
        self.send_header("Content-Type", content_type)
        if self.site.policy:
            self.send_header("Content-Security-Policy", self.site.policy)
        self.end_headers()
        self.wfile.write(text.encode())

    def log_message(self, *_: object) -> None:
        """Say nothing."""
