"""Recorded requests and responses against the spec document, as openapi-core reads it."""

import base64
import json
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import pytest
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.http.pages.home import demo_query
from gearing_api.http.spec import spec_text
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings

PYTHON = Path(os.environ.get("GENERATORS_PYTHON", "/nowhere")) / "bin"
CHECK = Path(__file__).with_name("check_traffic.py")
JSON, CSV, FORM = "application/json", "text/csv", "application/x-www-form-urlencoded"

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not PYTHON.exists(), reason="GENERATORS_PYTHON names no environment"),
]


def requests() -> Iterator[tuple[str, str, str, bytes]]:
    """Method, address, media type and body: each question and format, bulk requests, tables, refusals.

    Not `/v1/comparison.csv` and `/v1/tables/surfaces.csv`: openapi-core looks them up under the address that it
    finds first among those with a placeholder, `/v1/{question}.csv` and `/v1/tables/{name}`.
    """
    for name, question in QUESTIONS.items():
        query, body = demo_query(question), json.dumps(dict(question.example)).encode()
        yield "GET", f"/v1/{name}?{query}", "", b""
        yield "GET", f"/v1/{name}?{query}&units=metric&detail=brief", "", b""
        yield "POST", f"/v1/{name}", JSON, body
        yield "POST", f"/v1/{name}.txt", FORM, query.encode()
        for suffix in ("json", "csv", "txt", "md", *(["svg", "png"] if question.draws else ())):
            yield "GET", f"/v1/{name}.{suffix}?{query}", "", b""
        yield "GET", f"/v1/{name}", "", b""
        yield "GET", f"/v1/{name}?no_field=1", "", b""
        yield "POST", f"/v1/{name}", JSON, b"[]"
        yield "POST", f"/v1/{name}", "text/plain", b"tyre"
    columns = {"tyre": ["33x12.50R17LT", "35", "37x13.50R17LT"]}
    yield "POST", "/v1/tyre/batch", JSON, json.dumps({"columns": columns}).encode()
    yield "POST", "/v1/tyre.csv", CSV, b"tyre\r\n33x12.50R17LT\r\n35\r\n"
    plan = {
        "build": {"tyre": "315/70R17"},
        "vary": {"axle_ratio": [3.73, 4.1]},
        "report": ["effective_ratio"],
    }
    yield "POST", "/v1/comparison", JSON, json.dumps(plan).encode()
    yield "POST", "/v1/comparison", JSON, b"{}"
    yield "GET", "/v1/from-text?q=4.56+gears+on+35x12.50R17LT,+first+4.46", "", b""
    yield "GET", "/v1/from-text", "", b""
    for path in (
        "/v1",
        "/v1/tables",
        "/v1/tables/surfaces",
        "/v1/tables/fields?question=crawl",
        "/v1/tables/none",
    ):
        yield "GET", path, "", b""
    for path in ("/v1/tables.csv", "/healthz", "/readyz", "/openapi.json", "/problems", "/"):
        yield "GET", path, "", b""


def exchange(client: FlaskClient, method: str, address: str, media_type: str, body: bytes) -> dict[str, Any]:
    """One request and its response."""
    url = urlsplit(address)
    headers = {"Content-Type": media_type} if media_type else {}
    response = client.open(address, method=method, data=body or None, headers=headers)
    return {
        "request": {
            "method": method,
            "path": url.path,
            "query": parse_qsl(url.query),
            "headers": headers,
            "body": base64.b64encode(body).decode(),
        },
        "response": {
            "status": response.status_code,
            "headers": dict(response.headers),
            "body": base64.b64encode(response.get_data()).decode(),
        },
    }


def test_what_was_recorded_is_as_the_document_says(tmp_path: Path) -> None:
    client = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0)).test_client()
    recorded = [exchange(client, *request) for request in requests()]
    assert {one["response"]["status"] for one in recorded} >= {200, 404, 415, 422}
    (tmp_path / "openapi.json").write_text(spec_text(), encoding="utf-8")
    (tmp_path / "traffic.json").write_text(json.dumps(recorded), encoding="utf-8")
    command = [PYTHON / "python", CHECK, tmp_path / "openapi.json", tmp_path / "traffic.json"]
    done = subprocess.run([*map(str, command)], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr[-4000:]
    assert done.stdout.split() == [str(len(recorded))], done.stdout[:8000]
