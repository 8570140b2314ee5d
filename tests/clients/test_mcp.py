"""The tools for assistants: described briefly, and used by the protocol package's own client over stdio and HTTP."""

import asyncio
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
import requests

from gearing_mcp.service import Service
from gearing_mcp.shortened import plain
from tests.clients.stub import Reply, Stub, reply
from tests.ports import free_port

pytestmark = pytest.mark.slow

PACKAGE = Path(__file__).parents[2] / "clients/mcp"
LONGEST_DESCRIPTIONS = 1500
"""Tokens, reckoned rather too high: one for every five letters of a word begun, one for two marks."""

Task = Callable[[Any], Awaitable[None]]


def protocol() -> Any:
    """The protocol package: imported by these tests alone, because that takes a second."""
    return pytest.importorskip("mcp", reason="needs the extra clients")


def make_server(service: Service) -> Any:
    """The server itself, in this process."""
    protocol()
    from gearing_mcp import server

    return server.make_server(service)


def over_stdio(service: str) -> Any:
    """What the client connects to: the server as a child, as an assistant's program starts it."""
    environment = {"PATH": os.environ["PATH"], "PYTHONPATH": str(PACKAGE), "GEARING_SERVICE": service}
    return protocol().StdioServerParameters(
        command=sys.executable, args=["-m", "gearing_mcp"], env=environment
    )


@pytest.fixture(scope="module")
def over_http(service: str) -> Iterator[str]:
    """The address of a server over HTTP."""
    port = free_port()
    command = [sys.executable, "-m", "gearing_mcp", "--service", service, "--http", "--port", str(port)]
    environment = os.environ | {"PYTHONPATH": str(PACKAGE)}
    with subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL) as process:
        try:
            for _ in range(150):
                assert process.poll() is None
                with suppress(requests.ConnectionError):
                    requests.get(f"http://127.0.0.1:{port}/", timeout=2)
                    break
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}/mcp"
        finally:
            process.terminate()


def run(to: Any, task: Task) -> None:
    async def session() -> None:
        async with protocol().Client(to) as client:
            await task(client)

    asyncio.run(asyncio.wait_for(session(), 60))


async def told(client: Any, tool: str, **arguments: Any) -> Any:
    result = await client.call_tool(tool, arguments)
    assert not result.is_error, result.content
    return json.loads(result.content[0].text)


async def refused(client: Any, tool: str, **arguments: Any) -> str:
    result = await client.call_tool(tool, arguments)
    assert result.is_error
    return str(result.content[0].text)


# --- five tasks


async def a_sentence_and_its_question(client: Any) -> None:
    """The ratio is asked for, then 4.10 x 31/35 = 3.63 and 4.10 x 35/31 = 4.63."""
    read = await told(client, "read_sentence", sentence="from 31s to 35s")
    assert read["ask_the_user"] == "What is the axle ratio, such as 4.10 gears?"
    answer = await told(client, "answer", question="final-drive", build=read["build"] | {"axle_ratio": 4.10})
    assert answer["results"]["effective_ratio"] == 3.63
    assert answer["results"]["restoring_ratio"] == 4.63
    assert "4.63 restores the original" in answer["summary"]


async def which_fields_then_a_hill(client: Any) -> None:
    """What descent needs is found in its fields; a speed and a force come with their units."""
    lines = await told(client, "fields", question="descent")
    assert any(line.startswith("descent_grade_percent [%]: ") for line in lines)
    assert all("grade" in line for line in await told(client, "fields", question="descent", search="grade"))
    build = {"tyre": "35 in", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61, 1.72, 1], "transfer_ratios": [1, 2.72],
             "vehicle_mass": "2.4 t", "engine_displacement": "3.6 L", "descent_grade_percent": 20}  # fmt: skip
    answer = await told(
        client,
        "answer",
        question="descent",
        build=build,
        results=["engine_brake_force", "table"],
        units="metric",
    )
    assert list(answer["results"]) == ["engine_brake_force"]
    assert answer["results"]["engine_brake_force"].endswith(" N")
    assert "engine_speed [rpm]" in answer["table"]["columns"]


async def readings_of_an_axle(client: Any) -> None:
    """2500 rpm at 60 mph on 35s: 2500 x 3.05 x 35 / (1056 x 60) = 4.21."""
    readings = {"tyre": "35 in", "measured_engine_speed": 2500, "measured_road_speed": 60}
    answer = await told(client, "answer", question="from-measurements", build=readings)
    assert answer["results"]["measured_axle_ratio"] == pytest.approx(4.21, abs=0.02)
    assert answer["build"]


async def axles_that_disagree(client: Any) -> None:
    """(4.56 - 4.30) / 4.30 = 6 %: a stop."""
    build = {"tyre": "33 in", "front_axle_ratio": 4.56, "rear_axle_ratio": 4.30}
    answer = await told(client, "answer", question="axle-match", build=build)
    assert answer["verdict"] == "stop"
    assert answer["cautions"][0].startswith("stop: Do not use four-wheel drive")


async def parts_together(client: Any) -> None:
    """Crawl ratios 4.46 x 2.72 x 4.10, 4.56, 4.88 = 49.7, 55.3, 59.2: the two that reach 50 are weighed."""
    row = await told(
        client,
        "shortlist",
        build={
            "tyre": "35x12.50R17LT",
            "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1, 0.84],
            "transfer_ratios": [1, 2.72],
        },
        among={
            "axle_ratio": [4.10, 4.56, 4.88],
            "gears": [{"name": "ours", "price": 0}, {"name": "new", "price": 900}],
        },
        targets={"crawl_ratio": {"least": 50}},
        aims={"price": "low", "cruise_engine_speed": "low"},
        sums=["price"],
    )
    assert row["rows"][0]["choice"] == "axle ratio 4.56 + ours"
    assert row["rows"][0]["results"]["crawl_ratio"] == 55.3
    assert row["cheapest"] == "axle ratio 4.56 + ours"


async def mistakes_are_explained(client: Any) -> None:
    """Each error is a sentence that says what to send instead."""
    unit = await refused(client, "answer", question="final-drive", build={"tyre": "35", "axle_ratio": 4.1})
    assert "give a measured diameter with its unit" in unit
    assert "35 in" in unit
    name = await refused(client, "answer", question="tyre", build={"tyre": "35 in", "wieght": 5000})
    assert "wieght is no field of a build; the nearest is vehicle_mass" in name
    assert "axle_ratio is needed" in await refused(
        client, "answer", question="final-drive", build={"tyre": "35 in"}
    )
    assert "the nearest is" in await refused(client, "answer", question="craw", build={})
    assert "no question" in await refused(client, "answer", question="../healthz", build={})
    answer = await told(client, "answer", question="descent", build={
        "tyre": "35 in", "axle_ratio": 4.56, "gear_ratios": [4.46], "vehicle_mass": 5300, "descent_grade_percent": 20,
    })  # fmt: skip
    assert answer["verdict"] == "unknown"
    assert any("engine_displacement" in why for why in answer["not_known"].values())


async def how_sure_that_is(client: Any) -> None:
    """The ranges are the service's own, of the results shown; the plain answer has none."""
    build = {
        "tyre": "35x12.50R17LT",
        "axle_ratio": 4.56,
        "gear_ratios": [4.46, 2.61],
        "transfer_ratios": [1, 2.72],
    }
    answer = await told(client, "answer", question="crawl", build=build, bands=True)
    assert {"crawl_speed", "grip_grade_percent"} == {*answer["ranges"]}
    low, high, unit = re.fullmatch(r"(\S+) to (\S+) (\S+)", answer["ranges"]["crawl_speed"]).groups()  # type: ignore[union-attr]
    assert float(low) < float(answer["results"]["crawl_speed"].split()[0]) < float(high)
    assert unit == "mph"
    one = await told(client, "answer", question="crawl", build=build, results=["crawl_ratio"], bands=True)
    assert "ranges" not in one, "it is exact"
    assert "ranges" not in await told(client, "answer", question="crawl", build=build)


TASKS = (a_sentence_and_its_question, which_fields_then_a_hill, readings_of_an_axle, axles_that_disagree,
         parts_together, how_sure_that_is, mistakes_are_explained)  # fmt: skip


@pytest.mark.parametrize("task", TASKS)
def test_over_stdio(service: str, task: Task) -> None:
    run(over_stdio(service), task)


@pytest.mark.parametrize("task", TASKS)
def test_over_http(over_http: str, task: Task) -> None:
    run(over_http, task)


# --- descriptions, and a service that is not there


def test_the_descriptions_are_short_and_the_questions_are_those_of_the_service(service: str) -> None:
    async def task(client: Any) -> None:
        listed = (await client.list_tools()).tools
        assert [tool.name for tool in listed] == ["read_sentence", "answer", "fields", "shortlist"]
        parts = {"name", "description", "input_schema"}
        document = [tool.model_dump(exclude_none=True, by_alias=True, include=parts) for tool in listed]
        read = json.dumps(document, separators=(",", ":")) + client.instructions
        assert len(re.findall(r"\w{1,5}|[^\w\s]{1,2}", read)) < LONGEST_DESCRIPTIONS
        named = listed[1].input_schema["properties"]["question"]["description"]
        index = requests.get(f"{service}/v1", timeout=10).json()["questions"]
        questions = {one["name"] for one in index} - {"from-text", "shortlist"}
        assert set(re.sub(r" \([^)]*\)", "", named).split(", ")) == questions

    run(make_server(Service(service)), task)


def test_a_service_that_is_not_there_is_named() -> None:
    async def task(client: Any) -> None:
        said = await refused(client, "read_sentence", sentence="35s on 4.10s")
        assert f"The drivability service at {address} cannot be reached" in said

    address = f"http://127.0.0.1:{free_port()}"
    run(make_server(Service(address)), task)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (reply("200 OK", "no json"), "is no drivability service"),
        (reply("200 OK", "{}"), "not an answer of the drivability service"),
        (reply("200 OK", '{"result": 5}'), "not an answer of the drivability service"),
        (reply("200 OK", '"' + "x" * 4_100_000 + '"'), "too long"),
        (reply("302 Found", "{}", Location="http://127.0.0.1:9/"), "is no drivability service"),
        (reply("429 Too Many Requests", "{}", Retry_After="7"), "wait 7 seconds"),
    ],
    ids=["no json", "empty", "other", "long", "elsewhere", "busy"],
)
def test_a_service_that_says_nonsense_is_named(said: Reply, why: str) -> None:
    with Stub(said) as stub:

        async def task(client: Any) -> None:
            assert why in await refused(client, "answer", question="crawl", build={})

        run(make_server(Service(stub.address)), task)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (55.318272, 55.3),
        (2462.9, 2460),
        (6.0, 6),
        (-0.0301234, -0.0301),
        (0.0, 0),
        (None, None),
        ("grip", "grip"),
    ],
)
def test_numbers_have_three_digits(value: Any, expected: Any) -> None:
    assert plain(value) == expected
