"""Make the spec document (OpenAPI 3.1) from the vocabulary and the questions."""

import json
from functools import cache
from typing import Any

from gearing_api import __version__
from gearing_api.http.spec.answers import answer_schemas
from gearing_api.http.spec.builds import build_schemas, field_parameters
from gearing_api.http.spec.paths import TAGS, answers, path_schemas, paths, shared_parameters
from gearing_api.http.spec.responses import RESPONSES
from gearing_api.http.spec.shortlists import shortlist_schemas

_ABOUT = """\
Questions about a build: a trail vehicle as it is planned, described by named fields. A question accepts
every field of a build and ignores those that it does not need, so one build can be sent to all of them.

Numbers without a unit are in the units of `units`; a number may be text with its own unit instead. Units
stand in brackets, US before metric. Bounds in schemas are the wider of both systems, so that a number may fit
them and yet be refused. A field with `original_` in front is the vehicle before the change; the table
`fields` says of each field what it accepts. Answers may gain members within v1.
"""


@cache
def spec(public_address: str = "") -> dict[str, Any]:
    """Return the whole document as plain data."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Drivability of trail vehicles",
            "version": __version__,
            "description": _ABOUT,
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "servers": [{"url": public_address or "/"}],
        "security": [],
        "tags": [{"name": name, "description": about} for name, about in TAGS.items()],
        "paths": paths(),
        "components": {
            "schemas": build_schemas() | answer_schemas() | shortlist_schemas() | path_schemas(),
            "parameters": field_parameters() | shared_parameters(),
            "responses": answers() | RESPONSES,
        },
    }


def spec_text() -> str:
    """Return the document as the project keeps it: indented, in the order it was made."""
    return json.dumps(spec(), indent=1, ensure_ascii=False)
