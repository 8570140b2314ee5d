"""The service under gunicorn: how it is started, and what it prints."""

import gc
import os
import shutil
import sys
import tempfile
from contextlib import suppress
from dataclasses import replace
from typing import Any

from gunicorn.app.base import BaseApplication
from gunicorn.config import Config

from gearing_api.http.metrics import SHARED_FOLDER
from gearing_api.http.turns import open_shared
from gearing_api.server.logs import Log
from gearing_api.server.worker import LONGEST_LINE, MOST_HEADERS, Worker
from gearing_api.settings import Settings

_MEMORY = "/dev/shm"
_LONGEST_RUN = 0.0002
"""Seconds after which a thread that computes lets another go on: a light request waits for it a few times."""
_DRAWING_FOLDER = "MPLCONFIGDIR"  # where matplotlib keeps what it knows of fonts, else in the home folder


def options(settings: Settings, host: str, port: int, workers: int) -> dict[str, Any]:
    """gunicorn's configuration."""
    chosen = {
        "bind": f"{_in_address(host)}:{port}",
        "workers": workers,
        "worker_class": f"{Worker.__module__}.{Worker.__name__}",
        "worker_tmp_dir": _memory(),
        "threads": 16,
        "worker_connections": 500,
        "timeout": 30,
        "graceful_timeout": 20,
        "keepalive": 5,
        "limit_request_line": LONGEST_LINE,
        "limit_request_fields": MOST_HEADERS,
        "max_requests": 100_000,
        "max_requests_jitter": 10_000,
        "control_socket_disable": True,
        "logger_class": Log,
        "accesslog": "-" if settings.access_log else None,
        "when_ready": lambda arbiter: _greet(f"http://{_in_address(host)}:{port}"),
    }
    if settings.metrics:
        chosen |= {"child_exit": _forget_worker}
    known = Config().settings
    return {name: value for name, value in chosen.items() if name in known}


def _memory() -> str | None:
    """The folder in memory: a slow disk delays nobody there, and it is there where all else is read-only."""
    return _MEMORY if os.access(_MEMORY, os.W_OK) else None


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _greet(address: str) -> None:
    """Tell whoever started the service; where that cannot be written it is no reason to stop."""
    with suppress(OSError):
        print(
            f"Serving on {address} (stop with Ctrl-C). Look there with a browser, or paste:\n"
            f"  curl '{address}/v1/crawl.txt?tyre=35x12.50R17LT&axle_ratio=4.56"
            "&gear_ratios=4.46,2.61,1.72,1.25,1,0.84&transfer_ratios=1,2.72'",
            file=sys.stderr,
            flush=True,
        )


def _forget_worker(arbiter: Any, worker: Any) -> None:
    from prometheus_client.multiprocess import mark_process_dead

    mark_process_dead(worker.pid)  # type: ignore[no-untyped-call]


class Service(BaseApplication):
    """The application and its configuration, for gunicorn to run."""

    def __init__(self, settings: Settings, chosen: dict[str, Any]) -> None:
        self.settings = settings
        self.chosen = chosen
        super().__init__()

    def load_config(self) -> None:
        """Take the configuration."""
        for name, value in self.chosen.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Build the application in the worker."""
        from gearing_api.app import create_app

        sys.setswitchinterval(_LONGEST_RUN)
        app = create_app(self.settings)
        gc.freeze()  # what lives as long as the worker need not be looked through while requests wait
        return app


def _own_folder() -> str:
    try:
        return tempfile.mkdtemp(prefix="gearing-")
    except FileNotFoundError:
        return tempfile.mkdtemp(prefix="gearing-", dir=_memory())


def run(settings: Settings, host: str, port: int, workers: int) -> None:
    """Serve until stopped.

    Raises
    ------
    OSError
        If there is no folder that can be written, not even in memory, or the file of turns cannot be opened.
    """
    master, folder = os.getpid(), _own_folder()
    settings = replace(settings, turns_file=settings.turns_file or os.path.join(folder, "turns"))
    service = Service(settings, options(settings, host, port, workers))
    if not os.access(os.path.expanduser("~"), os.W_OK):
        os.environ.setdefault(_DRAWING_FOLDER, folder)
    if settings.metrics:
        os.environ.setdefault(SHARED_FOLDER, folder)
    try:
        os.close(open_shared(settings.turns_file))
        service.run()
    finally:
        if os.getpid() == master:
            shutil.rmtree(folder, ignore_errors=True)
