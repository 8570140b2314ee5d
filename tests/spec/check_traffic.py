"""Check recorded requests and responses against a spec document, by openapi-core; run where it is installed.

``python check_traffic.py openapi.json traffic.json`` prints one line per disagreement, and how many were checked.
Only answered requests are checked as requests: a refused one is wrong on purpose.
"""

import base64
import json
import sys
from pathlib import Path

from openapi_core import Config, OpenAPI
from openapi_core.exceptions import OpenAPIError
from openapi_core.testing import MockRequest, MockResponse

TEXTS = ("text/csv", "text/markdown", "image/svg+xml", "image/png")
"""Media types that openapi-core would leave as bytes."""


def as_text(body: bytes, **_: str) -> str:
    """A body of text or a picture: the document says no more than that it is a string."""
    return body.decode("latin-1")


def as_json(body: bytes, **_: str) -> object:
    """A problem document."""
    return json.loads(body)


def main(document: str, traffic: str) -> None:
    """Check each exchange."""
    read = dict.fromkeys(TEXTS, as_text) | {"application/problem+json": as_json}
    api = OpenAPI.from_dict(
        json.loads(Path(document).read_text()), config=Config(extra_media_type_deserializers=read)
    )
    exchanges = json.loads(Path(traffic).read_text())
    for one in exchanges:
        sent, got = one["request"], one["response"]
        body = base64.b64decode(sent["body"])
        request = MockRequest(
            "http://127.0.0.1",
            sent["method"].lower(),
            sent["path"],
            args=[tuple(pair) for pair in sent["query"]],
            headers=sent["headers"],
            data=body or None,
            content_type=sent["headers"].get("Content-Type", ""),
        )
        response = MockResponse(
            base64.b64decode(got["body"]),
            got["status"],
            got["headers"],
            got["headers"].get("Content-Type", ""),
        )
        try:
            if got["status"] < 400:
                api.validate_request(request)
            api.validate_response(request, response)
        except OpenAPIError as error:
            reasons = [part.message[:300] for part in getattr(error.__cause__, "schema_errors", ())]
            cause = error.__cause__ or ""
            print(
                f"{sent['method']} {sent['path']} {got['status']}: {type(error).__name__} {error} {cause} {reasons}"
            )
    print(len(exchanges))


if __name__ == "__main__":
    main(*sys.argv[1:])
