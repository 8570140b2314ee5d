"""The service under gunicorn: how it is started, and what it prints."""

import sys
from typing import Any

from gunicorn.app.base import BaseApplication
from gunicorn.config import Config

from gearing_api.settings import Settings


def options(host: str, port: int, workers: int) -> dict[str, Any]:
    """gunicorn's configuration."""
    chosen = {
        "bind": f"{host}:{port}",
        "workers": workers,
        "worker_class": "gthread",
        "threads": 4,
        "worker_connections": 20,
        "timeout": 30,
        "graceful_timeout": 20,
        "keepalive": 5,
        "limit_request_line": 8190,
        "limit_request_fields": 60,
        "max_requests": 100_000,
        "max_requests_jitter": 10_000,
        "control_socket_disable": True,
    }
    known = Config().settings
    return {name: value for name, value in chosen.items() if name in known}


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

        return create_app(self.settings)


def run(host: str, port: int, workers: int) -> None:
    """Serve until stopped."""
    address = f"http://{host}:{port}"
    print(
        f"Serving on {address} (stop with Ctrl-C). Look there with a browser, or paste:\n"
        f"  curl '{address}/v1/crawl.txt?tyre=35x12.50R17LT&axle_ratio=4.56"
        "&gear_ratios=4.46,2.61,1.72,1.25,1,0.84&transfer_ratios=1,2.72'",
        file=sys.stderr,
    )
    Service(Settings.from_environment(), options(host, port, workers)).run()
