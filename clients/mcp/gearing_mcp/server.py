"""The tools: what an assistant reads about them, and what each returns."""

import json
from collections.abc import Callable
from typing import Annotated, Any, Literal

from mcp.server import MCPServer
from mcp.server.mcpserver.exceptions import ToolError
from pydantic import Field

from gearing_mcp import shortened
from gearing_mcp.service import Refusal, Service

VERSION = "0.1.0"
INSTRUCTIONS = """\
Figures for trail vehicles after a change of tyres, axles or gears. For a sentence call read_sentence first, ask the \
user what ask_the_user says, then answer. Pass on cautions, stop before the figures. These are estimates for \
comparison: never tell the user that something is safe, fits or holds; makers' limits and local law decide."""

Units = Annotated[Literal["us", "metric"], Field(description="of bare numbers and of the answer")]
Build = Annotated[
    dict[str, Any],
    Field(
        description='Fields by name, such as {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "vehicle_mass": "2.4 t"}'
    ),
]
Question = Annotated[
    str,
    Field(
        description="tyre, final-drive (feels like, restores), speedometer, road-speed (rpm), cruise (holds a grade), "
        "crawl, axle-match (front against rear), regear (which ratio), ring-gear-load, axle-check (what breaks first), "
        "clearance, axle-loads (tipping, pressure), descent, braking, acceleration, fuel, driveline, "
        "from-measurements (readings to fields), "
        "build-sheet (all)"
    ),
]


def make_server(service: Service) -> MCPServer:
    """Return the server with its tools."""
    server = MCPServer("gearing", instructions=INSTRUCTIONS, version=VERSION, log_level="WARNING")

    @server.tool(structured_output=False)
    def read_sentence(
        sentence: Annotated[str, Field(description="at most 500 characters")],
    ) -> str:
        """Read a forum sentence such as "31s to 35s on 4.10s" into a build, and say what is unclear."""
        return _told(lambda: shortened.sentence(service.ask("from-text", {"q": sentence})))

    @server.tool(structured_output=False)
    def answer(
        question: Question,
        build: Build,
        results: Annotated[list[str], Field(description='only these; "table" adds rows')] = [],  # noqa: B006
        units: Units = "us",
        bands: Annotated[
            bool, Field(description="also ranges: 9 in 10 such builds lie between the ends")
        ] = False,
    ) -> str:
        """Answer one question about a build: summary, results, cautions, what was assumed, what is missing."""
        options = {"units": units} | ({"bands": "1"} if bands else {})
        return _told(lambda: shortened.answer(service.ask(question, {**build, **options}), results))

    @server.tool(structured_output=False)
    def fields(
        question: Annotated[str, Field(description="as for answer")],
        search: Annotated[str, Field(description="a word in name or meaning")] = "",
    ) -> str:
        """List the fields that a question takes: name, what is accepted, default, meaning."""
        return _told(lambda: _fields(service, question, search))

    @server.tool(structured_output=False)
    def shortlist(
        build: Build,
        among: Annotated[
            dict[str, list[Any]],
            Field(
                description="values by field, or bundles: "
                '{"axle": [{"name": "donor", "price": 900, "inner_splines": 35}]}'
            ),
        ],
        targets: Annotated[
            dict[str, dict[str, Any]], Field(description='limits on results: {"crawl_ratio": {"least": 50}}')
        ],
        aims: Annotated[
            dict[str, Literal["low", "high"]], Field(description="wishes on results or sums, at most 4")
        ],
        sums: Annotated[list[str], Field(description="numbers of the bundles, such as price")] = [],  # noqa: B006
        show: Annotated[int, Field(ge=1, le=20)] = 5,
        units: Units = "us",
    ) -> str:
        """Try all combinations of parts: the best, what each gives up, the cheapest, the order of changes."""
        plan: dict[str, object] = {"build": build, "among": among, "targets": targets, "aims": aims}
        plan |= {"sums": sums, "show": show, "units": units}
        return _told(lambda: shortened.shortlist(service.ask("shortlist", plan)))

    return server


def _told(make: Callable[[], Any]) -> str:
    """Return an answer as JSON, or a refusal as an error of the tool."""
    try:
        return json.dumps(make(), ensure_ascii=False, separators=(",", ":"))
    except Refusal as refusal:
        raise ToolError(str(refusal)) from refusal
    except (LookupError, TypeError, AttributeError) as error:
        raise ToolError("What the address answers is not an answer of the drivability service.") from error


def _fields(service: Service, question: str, search: str) -> list[str]:
    """Return a line for each field, those without a default first."""
    table = service.table("fields", question=question)
    rows = [dict(zip(table["columns"], row, strict=True)) for row in table["rows"]]
    wanted = [row for row in rows if search.casefold() in f"{row['name']} {row['meaning']}".casefold()]
    wanted.sort(key=lambda row: row["default"] is not None)
    return [_line(row) for row in wanted]


def _line(row: dict[str, Any]) -> str:
    units = "; ".join(unit for unit in dict.fromkeys((row["us_unit"], row["metric_unit"])) if unit)
    default = "" if row["default"] is None else f"; default {row['default']}"
    return f"{row['name']}{f' [{units}]' if units else ''}: {row['meaning']}; {row['accepted']}{default}"
