"""Requests of every kind with the answers that they must get, computed once in this process."""

import json
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from gearing_api.app import create_app
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK

HOST = "gears.example"
JSON = {"Content-Type": "application/json"}
CSV = {"Content-Type": "text/csv"}
ROWS = "_truck,tyre,axle_ratio\r\n" + "".join(f"{place},{30 + place / 10} in,4.1\r\n" for place in range(40))
COLUMNS = {"columns": {"tyre": [f"{30 + place / 10} in" for place in range(40)], "axle_ratio": 4.1}}
COMPARISON = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61], "peak_torque": 260},
    "vary": {"axle_ratio": [3 + place / 40 for place in range(80)], "idle_speed": [600, 700, 800]},
    "report": ["crawl_ratio", "crawl_speed"],
}
SENTENCES = (
    "going from 31s to 35s on 4.10, 3.83 first, 2.72 low",
    "35x12.50R17 tyres, 4.56 gears and a 2.72 transfer case",
)


@dataclass(frozen=True)
class Ask:
    """A request, and its one right answer. Heavy ones may be told to come again."""

    kind: str
    path: str
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)
    heavy: bool = False
    status: int = 0
    answer: bytes = b""

    @property
    def method(self) -> str:
        """POST where there is a body."""
        return "GET" if self.body is None else "POST"


def mixed(public_address: str = "") -> list[Ask]:
    """Some of each kind, answered."""
    policy = Settings(requests_per_minute=0, cpu_seconds_per_minute=0, public_address=public_address)
    client = create_app(policy).test_client()
    answered = []
    for ask in [*_questions(), *_others()]:
        response = client.open(
            ask.path, method=ask.method, data=ask.body, headers=ask.headers, base_url=f"http://{HOST}"
        )
        made = {**vars(ask), "status": response.status_code, "answer": response.data}
        assert response.status_code == (422 if ask.kind == "refused" else 200), response.data
        answered.append(Ask(**made))
    return answered


def _questions() -> list[Ask]:
    asks = []
    for name, question in QUESTIONS.items():
        asks += [
            Ask(f"question.{form}", f"/v1/{name}.{form}?{demo_query(question)}")
            for form in ("json", "csv", "txt", "md")
        ]
        asks.append(Ask("question by POST", f"/v1/{name}", _json(dict(question.example)), JSON))
        asks.append(Ask("page", f"/v1/{name}.html?{demo_query(question)}"))
        asks.append(Ask("refused", f"/v1/{name}?{urlencode({'tyre': '35'})}"))
    return asks


def _others() -> list[Ask]:
    return [
        *(Ask("from-text", f"/v1/from-text.{form}?{urlencode({'q': sentence})}") for sentence in SENTENCES
          for form in ("json", "txt")),
        *(Ask("table", f"/v1/tables/{name}") for name in ("units.csv", "fields", "surfaces")),
        Ask("page", "/", headers={"Accept": "text/html"}),
        Ask("page", "/docs"),
        Ask("probe", "/readyz"),
        Ask("rows", "/v1/final-drive?pick=effective_ratio", ROWS.encode(), CSV, heavy=True),
        Ask("batch", "/v1/final-drive/batch", _json(COLUMNS), JSON, heavy=True),
        *(Ask("comparison", f"/v1/comparison.{form}", _json(COMPARISON), JSON, heavy=True)
          for form in ("json", "csv", "ndjson")),
        *(Ask("chart", f"/v1/{name}.{form}?{demo_query(QUESTIONS[name])}", heavy=True)
          for name in ("cruise", "road-speed") for form in ("svg", "png")),
        Ask("refused", "/v1/final-drive/batch", _json({"columns": {"tyre": ["33 in"], "axel": 4}}), JSON,
            heavy=True),
        Ask("refused", "/v1/tyre", _json({"tyre": [1]}), JSON),
        Ask("question by POST", "/v1/build-sheet", _json(TRUCK), JSON),
    ]  # fmt: skip


def _json(value: Any) -> bytes:
    return json.dumps(value).encode()
