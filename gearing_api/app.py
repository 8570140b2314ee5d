"""The one place where the parts of the service are joined."""

from collections.abc import Callable
from typing import Any

from flask import Flask

from gearing_api.http.routes import register
from gearing_api.settings import Settings


class _Service(Flask):
    """An application of plain functions alone: that none is a coroutine need not be found out at every request."""

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """The function as it is."""
        return func


def create_app(settings: Settings | None = None) -> Flask:
    """A WSGI application; settings come from the environment where none are given."""
    settings = settings or Settings.from_environment()
    app = _Service("gearing_api", static_folder=None)
    app.json.sort_keys = False  # type: ignore[attr-defined]
    # A body without a length is cut off there: one byte more than is taken shows that it was too long.
    app.config["MAX_CONTENT_LENGTH"] = max(settings.body_bytes, settings.many_bytes) + 1
    app.url_map.strict_slashes = False
    app.url_map.merge_slashes = False
    register(app, settings)
    return app
