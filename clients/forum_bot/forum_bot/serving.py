"""The webhook under gunicorn."""

from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.config import Config


class _Served(BaseApplication):
    def __init__(self, app: Flask, chosen: dict[str, Any]) -> None:
        self._app = app
        self._chosen = chosen
        super().__init__()

    def load_config(self) -> None:
        known = Config().settings
        for name, value in self._chosen.items():
            if name in known:
                self.cfg.set(name, value)

    def load(self) -> Any:
        return self._app


def run(app: Flask, host: str, port: int) -> None:
    """Serve until stopped, in one process with four threads."""
    chosen = {
        "bind": f"[{host}]:{port}" if ":" in host else f"{host}:{port}",
        "workers": 1,
        "threads": 4,
        "worker_connections": 20,
        "timeout": 60,
        "control_socket_disable": True,
    }
    _Served(app, chosen).run()
