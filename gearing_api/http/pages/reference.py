"""The interactive reference: static files of a package, on a page of our own that asks nothing of others."""

from functools import cache
from importlib.resources import files

from flask import Response, render_template

from gearing_api.http import headers

FILES = {
    "swagger-ui.css": "text/css; charset=utf-8",
    "swagger-ui-bundle.js": "text/javascript; charset=utf-8",
}


def page() -> Response:
    """The page; what it shows is made by its script from the spec document."""
    response = Response(render_template("reference.html"), content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.REFERENCE_POLICY
    return response


@cache
def content(name: str) -> bytes:
    """One of the static files."""
    return files("flask_swagger_ui").joinpath("dist", name).read_bytes()
