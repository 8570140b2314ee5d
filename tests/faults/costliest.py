"""Search for the requests within the limits that cost most: computing, memory, bytes out per byte in, error text.

Run it on demand: ``python -m tests.faults.costliest [seconds]`` (300 if not given). Half of the time it tries
requests of every kind at random, then it changes the worst found, and goes on with what is worse. It prints the
ten worst of each measure, and fails where one is above its bar.
"""

import gc
import json
import random
import sys
import time
from collections.abc import Callable, Iterable
from ctypes import CDLL
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from flask import Flask

from gearing_api.app import create_app
from gearing_api.fields import Choice, Curve, Grid, Number, Series
from gearing_api.formats import offered
from gearing_api.questions import OWNERS, QUESTIONS
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import FIELDS

DEADLINE = 5
LIMITS = Settings(
    requests_per_minute=0,
    cpu_seconds_per_minute=0,
    request_seconds=DEADLINE,
    many_at_once=0,
    charts_at_once=0,
)

BARS = {"cpu": DEADLINE + 5.0, "memory": 300.0, "errors": 20.0}
"""Seconds of computing, MB above what the process had before the request, bytes of error text per byte of its own."""

MEASURES = ("cpu", "memory", "errors", "amplified")
WORST = 10
_ROWS = (1, 1, 10, 10, 100, 100, 1_000, 1_000, 5_000, 20_000, 100_000, 120_000)

LONG: dict[str, Any] = {
    "gear_ratios": [5 * 0.92**place for place in range(24)],
    "transfer_ratios": [1 + place / 2 for place in range(12)],
    "torque_curve": [[600 + 25 * place, 260 + place % 7] for place in range(200)],
    "fuel_mix": [[20 + 3 * place, 0.05] for place in range(20)],
}
"""The longest lists that are taken, of those that questions go through in each other."""

TYRES = ("35x12.50R17LT", "265/70R17 115T", "7.50R16C", "36.4 in", "LT315/75R16 121/118S", "205-640 R 440")
BAD: tuple[Any, ...] = (
    "x",
    "",
    "1e999",
    "35",
    -1,
    1e9,
    None,
    [],
    {},
    "9" * 40,
    "35 parsecs",
    True,
    [[1]],
    "=1+1",
)


@dataclass(frozen=True)
class Tried:
    """A request: what kind it is, and the genes that it is made of."""

    kind: str
    genes: dict[str, Any] = field(default_factory=dict)

    def sent(self) -> tuple[str, str, bytes, str]:
        """Method, address, body and media type."""
        return _KINDS[self.kind][1](self.genes)

    @property
    def label(self) -> str:
        """The kind, and what it is about."""
        about = [*KNOWN][self.genes["known"]] if self.kind == "known" else self.genes["question"]
        return f"{self.kind}, {about}"

    def __str__(self) -> str:
        method, path, body, _ = self.sent()
        if self.kind == "known":
            return f"{method} {path.partition('?')[0]} {len(path) + len(body)} bytes, {self.label}"
        genes = {name: gene for name, gene in self.genes.items() if name != "seed"}
        return f"{method} {path.partition('?')[0]} {len(path) + len(body)} bytes, {genes}"[:150]


@dataclass
class Cost:
    """What a request cost."""

    cpu: float
    memory: float
    errors: float
    amplified: float
    status: int


def _good(name: str, chance: random.Random) -> Any:
    """A value of a field that is likely taken, long where the field takes lists."""
    kind = FIELDS[name].kind
    if name in TRUCK and chance.random() < 0.3:
        return TRUCK[name]
    if isinstance(kind, Choice):
        return chance.choice(kind.options)
    if isinstance(kind, Number):
        low, high = kind.bounds("us")
        return round(low + (high - low) * chance.random() ** 3, 6)
    if isinstance(kind, Series):
        low, high = kind.item.bounds("us")
        count = chance.choice((kind.length[0], kind.length[1]))
        values = [low + (high - low) * (place + chance.random()) / count for place in range(count)]
        return values if isinstance(kind, Grid) or chance.random() < 0.5 else values[::-1]
    if isinstance(kind, Curve):
        (low, high), (least, most) = kind.along.bounds("us"), kind.up.bounds("us")
        step = (high - low) / kind.length[1]
        return [[low + step * place, least + (most - least) * 0.01] for place in range(kind.length[1])]
    return chance.choice(TYRES)


def _value(name: str, chance: random.Random, bad: float) -> Any:
    return chance.choice(BAD) if chance.random() < bad else _good(name, chance)


def _build(genes: dict[str, Any], names: Iterable[str], chance: random.Random) -> dict[str, Any]:
    """The demo truck with some of these fields changed."""
    build = {name: value for name, value in TRUCK.items() if chance.random() < 0.95}
    chosen = [*names]
    for name in chance.sample(chosen, min(len(chosen), genes["fields"])):
        build[name] = _value(name, chance, genes["bad"])
    for place in range(genes["unknown"]):
        build[f"{chance.choice(chosen)[:-1]}{place}"] = 1
    return build | (LONG if genes["long"] else {})


def _text(value: Any) -> str:
    if isinstance(value, list):
        return ",".join(":".join(map(str, item)) if isinstance(item, list) else str(item) for item in value)
    return str(value)


def _question(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    chance, question = random.Random(genes["seed"]), QUESTIONS[genes["question"]]
    build = _build(genes, question.fields, chance)
    path = f"/v1/{question.name}.{genes['form']}"
    options = {"bands": "1"} if genes["bands"] else {}
    if genes["post"] and genes["form"] != "html":
        return "POST", f"{path}?{urlencode(options)}", json.dumps(build).encode(), "application/json"
    return (
        genes["method"],
        f"{path}?{urlencode({name: _text(value) for name, value in build.items()} | options)}",
        b"",
        "",
    )


def _rows(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    """The same cells again and again, each with its number where they are to differ."""
    chance, question = random.Random(genes["seed"]), QUESTIONS[genes["question"]]
    names = [
        *dict.fromkeys(
            (
                *question.needs,
                *chance.sample([*question.fields], min(genes["fields"], 20, len(question.fields))),
            )
        )
    ]
    kinds = [{name: _value(name, chance, genes["bad"]) for name in names} for _ in range(genes["kinds"])]
    for one in kinds:
        for name in names:
            if chance.random() < genes["left_out"]:
                one[name] = ""
    extra = [f"_{place}" for place in range(genes["extra"])]
    head = ",".join((*names, *extra))
    lines = [",".join((*(f'"{_text(one[name])}"' for name in names), *("" for _ in extra))) for one in kinds]
    if genes["bare"]:
        lines = [line.replace('"', "") for line in lines]
    count = genes["rows"]
    body = "\n".join([head, *(lines[place % len(lines)] for place in range(count))])
    if genes["differ"]:
        body = "\n".join([f"{head},_n", *(f"{lines[place % len(lines)]},{place}" for place in range(count))])
    picked = f"?pick={question.results[0]}" if genes["pick"] and question.results else ""
    return "POST", f"/v1/{question.name}{picked}", body.encode()[: LIMITS.many_bytes], "text/csv"


def _batch(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    chance, question = random.Random(genes["seed"]), QUESTIONS[genes["question"]]
    names = [
        *dict.fromkeys(
            (
                *question.needs,
                *chance.sample([*question.fields], min(genes["fields"], 20, len(question.fields))),
            )
        )
    ]
    columns: dict[str, Any] = {}
    for name in names:
        made = [_value(name, chance, genes["bad"]) for _ in range(genes["kinds"])]
        if genes["differ"] and isinstance(FIELDS[name].kind, Number):
            low, high = FIELDS[name].kind.bounds("us")  # type: ignore[attr-defined]
            made = [low + (high - low) * place / genes["rows"] for place in range(genes["rows"])]
        columns[name] = [made[place % len(made)] for place in range(genes["rows"])]
    asked: dict[str, Any] = {"columns": columns}
    if genes["pick"] and question.results:
        asked["pick"] = question.results[0]
    body = json.dumps(asked).encode()
    return "POST", f"/v1/{question.name}/batch", body[: LIMITS.many_bytes], "application/json"


def _comparison(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    chance = random.Random(genes["seed"])
    names = [*OWNERS]
    report = chance.sample(names, min(genes["fields"], len(names)))
    fields = [*dict.fromkeys(name for result in report for name in OWNERS[result].fields)]
    vary: dict[str, Any] = {}
    for name in chance.sample(fields, min(genes["kinds"], len(fields), 6)):
        count = max(1, round(genes["rows"] ** (1 / max(1, min(genes["kinds"], 6)))))
        vary[name] = [_value(name, chance, genes["bad"]) for _ in range(count)]
    fixed = TRUCK | (LONG if genes["long"] else {})
    build = {name: value for name, value in fixed.items() if name not in vary}
    plan: dict[str, Any] = {"build": build, "vary": vary, "report": report}
    if genes["pick"]:
        plan["sort"] = report[0]
    path = f"/v1/comparison.{genes['form'] if genes['form'] in ('json', 'csv', 'ndjson') else 'json'}"
    path += "?bands=1" if genes["bands"] else ""
    return "POST", path, json.dumps(plan).encode()[: LIMITS.body_bytes], "application/json"


def _raw(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    """A body that is one piece of text again and again, which is seldom well-formed."""
    chance = random.Random(genes["seed"])
    piece = chance.choice(
        ("[]", "{}", "[", '{"a":', '"",', "\n", ",", '"', '"\\n",', "1,", "\n,", "\u20ac", "a", ";", "=1+1,")
    )
    csv = chance.random() < 0.5
    head = (
        chance.choice(("tyre\n", "tyre,axle_ratio\n", "_,tyre\n"))
        if csv
        else chance.choice(('{"columns":{"tyre":[', "", "["))
    )
    separator = chance.choice(("", ","))
    many = (separator.join([piece] * (genes["rows"] * 40)))[: LIMITS.many_bytes - 100]
    tail = "" if csv else chance.choice(("]}}", "]", ""))
    path = chance.choice(("/v1/tyre", "/v1/final-drive")) + ("" if csv else "/batch")
    body = (head + many + tail).encode()[: LIMITS.many_bytes]
    return "POST", path, body, "text/csv" if csv else "application/json"


def _sentence(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    chance = random.Random(genes["seed"])
    words = (
        "35s",
        "4.10",
        "going from",
        "gears",
        "first",
        "2.72 low",
        "35x12.50R17",
        "psi",
        "1/2",
        "and",
        "6,000 ft",
        "-",
    )
    text = " ".join(chance.choice(words) for _ in range(min(genes["rows"], 3_000)))
    form = "txt" if genes["form"] == "txt" else "json"
    if genes["post"]:
        return "POST", f"/v1/from-text.{form}", json.dumps({"q": text}).encode(), "application/json"
    return genes["method"], f"/v1/from-text.{form}?{urlencode({'q': text})}", b"", ""


def _query(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    """Short names that are no fields, bad options, addresses that are not there."""
    chance = random.Random(genes["seed"])
    names = "&".join(f"{chr(97 + place % 26)}{place // 26 or ''}" for place in range(min(genes["rows"], 60)))
    path = chance.choice(
        ("/v1/tyre", "/v1/tyres", "/", "/v1/tables/fields", "/oembed", "/v1/build-sheet", "/problems/x")
    )
    option = chance.choice(("", "&units=x", "&pick=x", "&errors=text", "&decimal=comma"))
    return genes["method"], f"{path}?{names}{option}", b"", ""


def _known(genes: dict[str, Any]) -> tuple[str, str, bytes, str]:
    """What once cost most, each found by somebody who looked for it."""
    return [*KNOWN.values()][genes["known"]]()


def _long_page() -> tuple[str, str, bytes, str]:
    query = {
        "tyre": "35 in", "axle_ratio": "4.1", "engine_speeds": "600:6000:60",
        "gear_ratios": ",".join(f"{9 - place / 4:g}" for place in range(24)),
        "transfer_ratios": ",".join(f"{1 + place / 4:g}" for place in range(12)),
    }  # fmt: skip
    return "GET", f"/v1/road-speed.html?{urlencode(query)}", b"", ""


def _lists_of_all_lengths() -> tuple[str, str, bytes, str]:
    vary = {
        "gear_ratios": [[9 - place / 9 for place in range(count)] for count in range(1, 45)],
        "transfer_ratios": [[1 + place / 9 for place in range(count)] for count in range(1, 45)],
        "tyre": [*TYRES],
    }
    plan = {"build": {"axle_ratio": 4.1}, "vary": vary, "report": ["crawl_ratio", "crawl_speed"]}
    return "POST", "/v1/comparison.csv", json.dumps(plan).encode(), "application/json"


def _bad_values() -> tuple[str, str, bytes, str]:
    bad = [f"x{place}" for place in range(100_000)]
    plan = {"build": {"axle_ratio": 4.1}, "vary": {"tyre": bad}, "report": ["effective_ratio"]}
    return "POST", "/v1/comparison", json.dumps(plan).encode(), "application/json"


def _bad_rows() -> tuple[str, str, bytes, str]:
    fields = [*QUESTIONS["build-sheet"].fields][:10]
    rows = "\n".join(",".join(f"x{place}{at}" for at in range(10)) for place in range(100_000))
    return "POST", "/v1/build-sheet", f"{','.join(fields)}\n{rows}".encode(), "text/csv"


def _whole_sheets(path: str, media_type: str) -> tuple[str, str, bytes, str]:
    build = {name: _text(value) for name, value in TRUCK.items() if name != "cruise_speed"}
    speeds = [40 + place / 10_000 for place in range(100_000)]
    if media_type == "application/json":
        columns = build | {"cruise_speed": speeds}
        return "POST", path, json.dumps({"columns": columns}).encode(), media_type
    few = {name: build[name] for name in [*build][:8]}
    cells = ",".join(f'"{value}"' for value in few.values())
    rows = "\n".join(f"{cells},{speed}" for speed in speeds)
    return "POST", path, f"{','.join(few)},cruise_speed\n{rows}".encode()[: LIMITS.many_bytes], media_type


def _unknown_headings() -> tuple[str, str, bytes, str]:
    headings = ",".join(f"tyre_pressure_{place}" for place in range(500))
    return "POST", "/v1/tyre", f"{headings}\n1".encode(), "text/csv"


def _repeated(head: str, piece: str, count: int, path: str, media_type: str) -> tuple[str, str, bytes, str]:
    return "POST", path, (head + piece * count).encode()[: LIMITS.many_bytes], media_type


def _ranges_of_long_lists(question: str) -> tuple[str, str, bytes, str]:
    return "POST", f"/v1/{question}?bands=1", json.dumps(TRUCK | LONG).encode(), "application/json"


def _curves_in_every_gear() -> tuple[str, str, bytes, str]:
    curves = [[[speed, torque - place] for speed, torque in LONG["torque_curve"]] for place in range(4)]
    vary = {"torque_curve": curves, "vehicle_mass": [5000 + place for place in range(2_500)]}
    plan = {
        "build": TRUCK | LONG,
        "vary": vary,
        "report": ["acceleration_time", "mix_fuel_economy", "top_speed"],
    }
    plan["build"] = {name: value for name, value in plan["build"].items() if name not in vary}
    return "POST", "/v1/comparison", json.dumps(plan).encode(), "application/json"


def _none_beats_another(path: str, side: int, show: int) -> tuple[str, str, bytes, str]:
    """A shortlist of side x side combinations: what is less of one sum is more of the other."""
    among = {
        key: [
            {"name": f"{key} {place}", "more": step * place, "less": -step * place} for place in range(side)
        ]
        for key, step in (("ones", 1), ("others", side))
    }
    plan = {"build": {}, "among": among, "sums": ["more", "less"], "show": show}
    return "POST", path, json.dumps(plan).encode(), "application/json"


KNOWN: dict[str, Callable[[], tuple[str, str, bytes, str]]] = {
    "a long table on a page": _long_page,
    "lists of all lengths": _lists_of_all_lengths,
    "bad values": _bad_values,
    "bad rows": _bad_rows,
    "whole sheets as JSON": partial(_whole_sheets, "/v1/build-sheet/batch", "application/json"),
    "whole sheets as rows": partial(_whole_sheets, "/v1/build-sheet", "text/csv"),
    "unknown headings": _unknown_headings,
    "empty lines": partial(_repeated, "tyre", "\n", 20_000_000, "/v1/tyre", "text/csv"),
    "one long line": partial(_repeated, "tyre\n", ",", 20_000_000, "/v1/tyre", "text/csv"),
    "short bad rows": partial(_repeated, "tyre\n", "x\n", 99_999, "/v1/tyre", "text/csv"),
    "rows of one cell over many lines": partial(_repeated, "tyre\n", '"\n",', 5_000_000, "/v1/tyre", "text/csv"),
    "empty lists": partial(_repeated, '{"columns":{"tyre":[[]', ",[]", 6_600_000, "/v1/tyre/batch", "application/json"),
    "as many empty lists as are read":
        partial(_repeated, '{"columns":{"tyre":[[]', ",[]", 990_000, "/v1/tyre/batch", "application/json"),
    "as many objects as are read":
        partial(_repeated, '{"columns":{"tyre":[{}', ",{}", 990_000, "/v1/tyre/batch", "application/json"),
    "a shortlist in which nothing beats another": partial(_none_beats_another, "/v1/shortlist", 316, 10),
    "all rows of a shortlist drawn": partial(_none_beats_another, "/v1/shortlist.png?bands=1", 60, 1_000),
    "curves in every gear": _curves_in_every_gear,
    "ranges of fuel for long lists": partial(_ranges_of_long_lists, "fuel"),
    "ranges of cruise for long lists": partial(_ranges_of_long_lists, "cruise"),
    "many short bad values":
        partial(_repeated, '{"columns":{"tyre":[1', ",1", 99_999, "/v1/tyre/batch", "application/json"),
}  # fmt: skip

_KINDS: dict[str, tuple[int, Callable[[dict[str, Any]], tuple[str, str, bytes, str]]]] = {
    "question": (3, _question), "rows": (3, _rows), "batch": (3, _batch), "comparison": (3, _comparison),
    "known": (0, _known), "raw": (2, _raw), "sentence": (1, _sentence), "query": (1, _query),
}  # fmt: skip


def _gene(name: str, chance: random.Random) -> Any:
    forms = [*offered(QUESTIONS["road-speed"]), "html", "ndjson"]
    choices: dict[str, Callable[[], Any]] = {
        "seed": lambda: chance.randrange(1 << 30),
        "question": lambda: chance.choice([*QUESTIONS]),
        "form": lambda: chance.choice(forms),
        "method": lambda: chance.choice(("GET", "GET", "HEAD")),
        "post": lambda: chance.random() < 0.3,
        "fields": lambda: chance.choice((1, 3, 10, 20, 60, 200)),
        "unknown": lambda: chance.choice((0, 0, 0, 1, 20)),
        "bad": lambda: chance.choice((0.0, 0.0, 0.0, 0.1, 1.0)),
        "left_out": lambda: chance.choice((0.0, 0.0, 0.3)),
        "rows": lambda: chance.choice(_ROWS),
        "kinds": lambda: chance.choice((1, 2, 5, 100, 1_000)),
        "extra": lambda: chance.choice((0, 0, 5, 300)),
        "bare": lambda: chance.random() < 0.2,
        "differ": lambda: chance.random() < 0.5,
        "pick": lambda: chance.random() < 0.4,
        "bands": lambda: chance.random() < 0.2,
        "long": lambda: chance.random() < 0.2,
    }
    return choices[name]()


GENES = ("seed", "question", "form", "method", "post", "fields", "unknown", "bad", "left_out", "rows", "kinds",
         "extra", "bare", "differ", "pick", "bands", "long")  # fmt: skip


def at_random(chance: random.Random) -> Tried:
    """A request of any kind."""
    kinds = [kind for kind, (weight, _) in _KINDS.items() for _ in range(weight)]
    return Tried(chance.choice(kinds), {name: _gene(name, chance) for name in GENES})


def changed(one: Tried, chance: random.Random) -> Tried:
    """The same with a gene or two of another value."""
    names = chance.sample(GENES, chance.randint(1, 2))
    return replace(one, genes=one.genes | {name: _gene(name, chance) for name in names})


def _memory(what: str) -> float:
    """Resident memory, MB: VmRSS now, or VmHWM the most since the marks were taken back."""
    return int(Path("/proc/self/status").read_text().split(f"{what}:")[1].split()[0]) / 1024


def _take_marks_back() -> None:
    gc.collect()
    CDLL(None).malloc_trim(0)  # what an earlier request has left is not this one's
    Path("/proc/self/clear_refs").write_text("5")


def cost(app: Flask, one: Tried) -> Cost:
    """Ask once, and take what comes as a reader would."""
    method, path, body, media_type = one.sent()
    own = len(f"{method} {path} HTTP/1.1\r\nHost: localhost\r\n\r\n") + len(body)
    client = app.test_client()
    arguments: dict[str, Any] = {"method": method, "data": body}
    if media_type:
        arguments["content_type"] = media_type
        own += len(f"Content-Type: {media_type}\r\nContent-Length: {len(body)}\r\n")
    _take_marks_back()
    before = _memory("VmRSS")
    began = time.thread_time()
    out = in_errors = 0
    first = b""
    try:
        with client.open(path, buffered=False, **arguments) as response:
            status = response.status_code
            for piece in response.iter_encoded():
                first = first or piece[:200_000]
                out += len(piece)
                if status == 200 and media_type == "text/csv":
                    in_errors += sum(len(line.rpartition(b",")[2]) for line in piece.splitlines())
    except BrokenPipeError:
        status = 0
    if status >= 400 and first[:1] == b"{":
        in_errors = out
    elif status == 200 and path.partition("?")[0].endswith("/batch"):
        in_errors = first.find(b'],"error_count"')
    took = time.thread_time() - began
    return Cost(took, _memory("VmHWM") - before, in_errors / own, out / own, status)


@dataclass
class Found:
    """The worst so far."""

    worst: dict[str, list[tuple[float, Tried, Cost]]] = field(
        default_factory=lambda: {name: [] for name in MEASURES}
    )
    count: int = 0
    statuses: dict[int, int] = field(default_factory=dict)

    def add(self, one: Tried, found: Cost) -> None:
        """Keep it where it is among the worst; of one kind about one question with one outcome only the worst."""
        self.count += 1
        self.statuses[found.status] = self.statuses.get(found.status, 0) + 1
        for name, listed in self.worst.items():
            listed.append((getattr(found, name), one, found))
            listed.sort(key=lambda entry: -entry[0])
            alike = [
                entry for entry in listed if entry[1].label == one.label and entry[2].status == found.status
            ]
            for entry in alike[1:]:
                listed.remove(entry)
            del listed[WORST:]

    def above(self) -> list[str]:
        """Those above a bar, in words."""
        return [
            f"{name} {value:.1f} is above {BARS[name]:.1f}: {one}"
            for name in BARS
            for value, one, _ in self.worst[name]
            if value > BARS[name]
        ]

    def show(self) -> None:
        """Print the ten worst of each measure."""
        print(f"{self.count} requests; statuses {dict(sorted(self.statuses.items()))}")
        for name, listed in self.worst.items():
            print(f"\nthe ten worst by {name}: CPU s, MB, error text and all bytes out per byte in, status")
            for _, one, found in listed:
                figures = f"{found.cpu:7.3f} {found.memory:6.0f} {found.errors:7.1f} {found.amplified:8.1f}"
                print(f"  {figures} {found.status} {one}")


def search(seconds: float, seed: float) -> Found:
    """Look for so long: at random, then from the worst found."""
    app, chance, found = create_app(LIMITS), random.Random(seed), Found()
    genes = {name: _gene(name, random.Random(0)) for name in GENES}
    cost(app, Tried("question", genes | {"question": "road-speed", "form": "png", "post": False}))
    for known in range(len(KNOWN)):
        one = Tried("known", genes | {"known": known})
        found.add(one, cost(app, one))
    began = time.monotonic()
    while (gone := time.monotonic() - began) < seconds:
        one = at_random(chance)
        if gone > seconds / 2 and chance.random() < 0.9:
            one = changed(chance.choice(found.worst[chance.choice(MEASURES)])[1], chance)
        found.add(one, cost(app, one))
    return found


if __name__ == "__main__":
    given = [float(text) for text in sys.argv[1:]]
    searched = search(*given) if len(given) == 2 else search(given[0] if given else 300.0, int(time.time()))
    searched.show()
    print(*searched.above(), sep="\n")
    sys.exit(bool(searched.above()))
