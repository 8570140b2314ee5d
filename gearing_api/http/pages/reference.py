"""The interactive reference: static files of a package, on a page of our own that asks nothing of others."""

from functools import cache
from importlib.resources import files

from flask import Response, render_template

from gearing_api.http import headers

FILES = {"swagger-ui.css": "text/css", "swagger-ui-bundle.js": "text/javascript"}


def page() -> Response:
    """The page; what it shows is made by its script from the spec document."""
    response = Response(render_template("reference.html"), content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.REFERENCE_POLICY
    return response


@cache
def _body(name: str) -> bytes:
    return files("flask_swagger_ui").joinpath("dist", name).read_bytes()


def part(name: str) -> Response:
    """One of the static files."""
    return Response(_body(name), content_type=f"{FILES[name]}; charset=utf-8")
