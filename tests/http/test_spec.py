"""The spec document: equal to what is served, valid, whole, and true of every answer."""

import gzip
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import orjson
import pytest
import schemathesis
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from openapi_spec_validator import validate
from schemathesis import GenerationMode
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.config import SchemathesisConfig
from schemathesis.schemas import BaseSchema

from gearing_api.fields import Choice, Number, Tyre
from gearing_api.http.requests import OPTION_NAMES
from gearing_api.http.spec import spec, spec_text
from gearing_api.questions import QUESTIONS
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import FIELDS, RESULTS
from tests.benchmarks.service import running
from tests.builds import EXAMPLES, SIZES, builds
from tests.http.described import validator
from tests.kept import same

KEPT = Path(__file__).parents[2] / "openapi" / "openapi.json"
WRITE_ANEW = "run `python -m tests.regenerate` and read the difference"
EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))


def schemas(node: Any) -> Iterator[dict[str, Any]]:
    """Every object within."""
    if isinstance(node, dict):
        yield node
        for child in node.values():
            yield from schemas(child)
    elif isinstance(node, list):
        for child in node:
            yield from schemas(child)


def resolved(node: dict[str, Any]) -> dict[str, Any]:
    """The node, or the one it refers to."""
    while "$ref" in node:
        place: Any = spec()
        for part in node["$ref"].removeprefix("#/").split("/"):
            place = place[part]
        node = place
    return node


def in_build(field: str) -> dict[str, Any]:
    """What the document says of a field in a JSON body."""
    return resolved(spec()["components"]["schemas"]["Build"]["properties"][field])


def bounded(schema: dict[str, Any]) -> bool:
    """Whether a schema of a text, number or list says how long or how large it may be."""
    if schema.get("type") == "string":
        return not schema.keys().isdisjoint({"maxLength", "enum", "pattern"})
    if schema.get("type") in ("number", "integer"):
        return {"minimum", "maximum"} <= schema.keys()
    return schema.get("type") != "array" or "maxItems" in schema


def examples(most: int) -> settings:
    return settings(max_examples=most, deadline=None, suppress_health_check=list(HealthCheck))


def answered(question: Any) -> dict[str, Any]:
    """What the document says of the JSON answer to a question."""
    response = spec()["paths"][f"/v1/{question.name}"]["post"]["responses"]["200"]
    content: dict[str, Any] = resolved(response)["content"]
    assert set(content) == {"application/json"}, "typed answers are of one kind"
    return content["application/json"]


class TestDocument:
    def test_the_kept_document_is_the_one_served(self, client: FlaskClient) -> None:
        served = client.get("/openapi.json").get_json()
        assert KEPT.exists(), WRITE_ANEW
        assert same(json.loads(KEPT.read_text(encoding="utf-8")), served), WRITE_ANEW
        assert same(KEPT.read_text(encoding="utf-8"), spec_text() + "\n"), WRITE_ANEW

    def test_it_is_valid(self) -> None:
        assert spec()["openapi"].startswith("3.1")
        validate(spec())

    def test_every_schema_is_a_valid_schema(self) -> None:
        for schema in spec()["components"]["schemas"].values():
            Draft202012Validator.check_schema(schema)

    def test_operations_have_names_of_their_own_and_tell_what_they_are(self) -> None:
        operations = [
            operation
            for path in spec()["paths"].values()
            for method, operation in path.items()
            if method in ("get", "post", "put", "delete", "patch")
        ]
        names = [operation["operationId"] for operation in operations]
        assert len(names) == len(set(names))
        for operation in operations:
            assert operation["summary"].strip()
            assert "default" in operation["responses"]

    def test_every_address_stands_in_it(self, app: Flask) -> None:
        """And nothing that is not there. Pages for people are no part of the interface."""
        described = {re.sub(r"\{\w+\}", "{}", path) for path in spec()["paths"]}
        served = set()
        for rule in app.url_map.iter_rules():
            path = re.sub(r"<[^>]+>|(?<=^/v1/tables/)[\w-]+", "{}", rule.rule)
            path = re.sub(rf"(?<=^/v1/)({'|'.join(QUESTIONS)})(?=[./])", "{}", path)
            if path.startswith(
                ("/pages/", "/problems/", "/docs", "/embed", "/widget", "/oembed", "/shortlist")
            ):
                continue
            served.add(path)
        suffixed = {re.sub(r"\.(json|csv|txt|md|svg|png|ndjson|html)$", ".{}", path) for path in served}
        missing = {path for path in served if path not in described} - {
            path for path in served if re.sub(r"\.\w+$", ".{}", path) in described
        }
        assert missing == set()
        assert {path for path in described if path not in served | suffixed} == set()

    def test_no_object_of_an_answer_is_closed(self) -> None:
        """Members may be added within v1: only what is sent is held to known names."""
        for name, schema in spec()["components"]["schemas"].items():
            closed = [part for part in schemas(schema) if part.get("additionalProperties") is False]
            assert not closed or not name.endswith("Answer"), name


class TestFields:
    def test_every_field_has_its_meaning_unit_and_bounds(self) -> None:
        for name, field in FIELDS.items():
            in_body, in_query = in_build(name), spec()["components"]["parameters"][name]
            for text in (in_body["description"], in_query["description"]):
                assert field.meaning in text, name
                if isinstance(field.kind, Number) and field.kind.quantity.unit("us"):
                    units = dict.fromkeys(field.kind.quantity.unit(system) for system in SYSTEMS)
                    assert f"[{'; '.join(units)}]" in text, name
            assert field.kind.accepted("us") in in_body["description"], name
            for schema in (in_body, resolved(in_query["schema"])):
                parts = [resolved(part) for part in schemas(schema)]
                assert all(map(bounded, parts)), name
                if not isinstance(field.kind, Choice | Tyre):
                    assert any("x-unit" in part for part in parts), (
                        f"{name} says no unit, nor that it has none"
                    )

    def test_defaults_and_stand_ins_are_told(self) -> None:
        for name, field in FIELDS.items():
            assert in_build(name).get("x-default") == field.default, name
            if field.instead is not None:
                assert f"{field.instead} where not given" in in_build(name)["description"], name

    def test_examples_are_accepted_and_fit(self) -> None:
        for name, field in FIELDS.items():
            schema = spec()["components"]["schemas"]["Build"]["properties"][name]
            for example in in_build(name)["examples"]:
                field.read(example, "us")
                assert validator(schema).is_valid(example), name

    def test_the_build_has_all_fields_and_no_other(self) -> None:
        build = spec()["components"]["schemas"]["Build"]
        assert set(build["properties"]) == set(FIELDS) | OPTION_NAMES | {"original"}
        assert build["additionalProperties"] is False


class TestGenerators:
    """What programs that make clients of the document stumble over."""

    def test_references_are_to_named_components(self) -> None:
        places = [part["$ref"] for part in schemas(spec()) if isinstance(part.get("$ref"), str)]
        assert all(re.fullmatch(r"#/components/\w+/\w+", place) for place in places)
        for place in set(places):
            resolved({"$ref": place})

    def test_requests_have_no_defaults_that_programs_would_send(self) -> None:
        assert not any("default" in schema for schema in spec()["components"]["schemas"].values())

    def test_it_is_small_enough(self) -> None:
        served = orjson.dumps(spec())
        assert len(served) < 400_000
        assert len(gzip.compress(served)) < 60_000

    def test_its_server_is_the_public_address(self) -> None:
        assert spec("https://gears.example")["servers"] == [{"url": "https://gears.example"}]
        assert spec()["servers"] == [{"url": "/"}]

    def test_every_refusal_that_occurs_is_described(self) -> None:
        for path, operations in spec()["paths"].items():
            for method, operation in operations.items():
                least = {"200", "422", "429", "503"} | ({"304"} if method == "get" else {"413", "415"})
                assert least <= operation["responses"].keys(), path


class TestQuestions:
    @EACH_QUESTION
    def test_its_parameters_are_its_fields(self, question: Any) -> None:
        parameters = spec()["paths"][f"/v1/{question.name}"]["get"]["parameters"]
        names = [
            parameter["name"] if "name" in parameter else parameter["$ref"].rpartition("/")[2]
            for parameter in parameters
        ]
        assert names[: len(question.fields)] == list(question.fields)

    @EACH_QUESTION
    def test_its_example_is_real(self, client: FlaskClient, question: Any) -> None:
        post = spec()["paths"][f"/v1/{question.name}"]["post"]
        body = post["requestBody"]["content"]["application/json"]["example"]
        told = answered(question)["example"]
        response = client.post(f"/v1/{question.name}", json=body)
        answer = response.get_json()
        answer["cautions"] = answer["cautions"][: len(told["cautions"])]
        assert answer == json.loads(json.dumps(told))

    @EACH_QUESTION
    @pytest.mark.parametrize("system", SYSTEMS)
    def test_its_answer_fits_its_schema(self, client: FlaskClient, question: Any, system: str) -> None:
        fitting = validator(answered(question)["schema"])
        answer = client.post(
            f"/v1/{question.name}", json=dict(question.example) | {"units": system}
        ).get_json()
        if answer.get("status") != 422:
            fitting.validate(answer)

    @EACH_QUESTION
    @given(data=st.data())
    @examples(6 * EXAMPLES)
    def test_any_answer_fits_its_schema(
        self, client: FlaskClient, question: Any, data: st.DataObject
    ) -> None:
        fitting = validator(answered(question)["schema"])
        response = client.post(f"/v1/{question.name}", json=data.draw(builds(question.needs, question.uses)))
        assert response.status_code in (200, 422)
        if response.status_code == 200:
            fitting.validate(response.get_json())

    @EACH_QUESTION
    def test_its_request_fits_its_schema(self, question: Any) -> None:
        body = spec()["paths"][f"/v1/{question.name}"]["post"]["requestBody"]
        fitting = validator(body["content"]["application/json"]["schema"])
        fitting.validate(dict(question.example))
        fitting.validate(dict(question.example) | {"original_axle_ratio": 4.1, "original": {"tyre": "33 in"}})
        assert not fitting.is_valid(dict(question.example) | {"axel_ratio": 4.1})
        assert fitting.is_valid({}) != bool(question.needs)
        assert not fitting.is_valid([])

    @EACH_QUESTION
    def test_its_results_have_meaning_and_unit(self, question: Any) -> None:
        answer = spec()["components"]["schemas"][question.name.title().replace("-", "") + "Answer"]
        schema = resolved(answer["properties"]["result"])
        parts = map(resolved, schema.get("allOf", [schema]))
        told = {name: result for part in parts for name, result in part["properties"].items()}
        assert set(question.results) <= set(told)
        for name in question.results:
            assert told[name]["description"].startswith(RESULTS[name].meaning)
            assert told[name]["x-unit"] == {system: RESULTS[name].unit(system) for system in SYSTEMS}


# A build may fit the schema and yet be refused, with 422 and the reason: idle speed at or above redline,
# tooth counts against the ratio, points that do not rise, bounds in the other system of units (the schema
# holds the wider of both), a unit of another quantity, a size that is in no table. JSON Schema has no words
# for these, so 422 is expected of what fits. What does not fit may also be refused with 414, since a long
# value makes a long address; and a batch has status 200 where rows are refused: a bad row costs no other.
# A format in the address that this question has not, as a chart without a curve, is answered with 404.
# Every other check is as it comes, and none is left out. The phase that walks every edge of every schema
# takes minutes for each address and is off; bounds and shapes have tests of their own, in test_fields.py.
# The document has no links, and steps that build on each other have nothing to follow: no request leaves
# anything behind that another could find.
CONFIG = SchemathesisConfig.from_str("""
    [checks]
    positive_data_acceptance.expected-statuses = ["2xx", "422"]
    negative_data_rejection.expected-statuses = ["400", "404", "414", "422"]
    [phases.coverage]
    enabled = false
    [[operations]]
    include-path-regex = "/batch$"
    checks.negative_data_rejection.expected-statuses = ["2xx", "400", "404", "413", "422"]
    [[operations]]
    include-path-regex = "[}]|[.]csv$"
    checks.positive_data_acceptance.expected-statuses = ["2xx", "404", "422"]
""")
schemathesis.openapi.format("tyre-size", st.sampled_from(SIZES))
schemathesis.openapi.format(
    "build-rows",
    st.lists(st.sampled_from(SIZES), max_size=3).map(
        lambda sizes: "tyre,axle_ratio\r\n" + "".join(f"{size},4.1\r\n" for size in sizes)
    ),
)


load_all_checks()
EVERY_CHECK = CHECKS.get_all()
PATHS = list(spec()["paths"])
SHARED = {f"/v1/{question.name}" for question in QUESTIONS.values()} - {"/v1/crawl"}
"""Questions are described and read by the same code: the plain run takes one of them."""


def asked(case: schemathesis.Case, at: str | None = None) -> None:
    """Put the case to the application, or to the service at that address.

    Two leniences are left out, since they have tests of their own. With errors=text all errors have
    status 200; an empty value in a query is a value that is not given.
    """
    assume(all(str(value).strip("[]{}'").strip() for value in (case.query or {}).values()))
    for members in (case.query, case.body):
        if isinstance(members, dict) and members.get("errors") == "text":
            del members["errors"]
    # The test client of the application, unlike every other, leaves compressed answers as they are.
    plain = {"Accept-Encoding": "identity"} if at is None else {}
    case.call_and_validate(base_url=at, headers=plain, checks=EVERY_CHECK)


def ask_all(interface: BaseSchema, path: str, mode: GenerationMode, most: int, at: str | None = None) -> None:
    """Put so many requests made from the document to each operation of a path."""
    for operation in interface[path].values():
        takes = spec()["paths"][path][operation.method]
        if mode is GenerationMode.NEGATIVE and not (takes.get("parameters") or takes.get("requestBody")):
            continue  # where nothing is asked for nothing can be wrong

        @given(operation.as_strategy(generation_mode=mode))
        @examples(most)
        def ask(case: schemathesis.Case) -> None:
            asked(case, at)

        ask()


def with_few_fields() -> dict[str, Any]:
    """The document with one field of each kind: to prepare for two hundred takes longer than to ask.

    The generator lists every character of a class, so that of any text is told by those that it has not.
    """
    some_text = spec()["components"]["schemas"]["FieldValue"]["anyOf"][1]["pattern"]
    without_controls = r"^[^\u0000-\u0008\u000e-\u001b\u007f-\u0084\u0086-\u009f]*$"
    document = json.loads(json.dumps(spec()).replace(json.dumps(some_text), json.dumps(without_controls)))
    one_of_each = {type(field.kind): name for name, field in reversed(FIELDS.items())}
    left_out = FIELDS.keys() - set(one_of_each.values()) - {"ring_teeth", "pinion_teeth"}
    build = document["components"]["schemas"]["Build"]["properties"]
    for name in left_out:
        del build[name]
    unseen = {f"#/components/parameters/{name}" for name in left_out}
    for path in document["paths"].values():
        for operation in path.values():
            taken = operation.get("parameters", [])
            taken[:] = [one for one in taken if one.get("$ref") not in unseen]
    return document


@pytest.fixture(scope="module")
def interface(app: Flask) -> BaseSchema:
    return schemathesis.openapi.from_wsgi("/openapi.json", app, config=CONFIG)


@pytest.fixture(scope="module")
def few_fields(app: Flask) -> BaseSchema:
    interface = schemathesis.openapi.from_dict(with_few_fields(), config=CONFIG)
    interface.app = app
    return interface


BOTH_WAYS = pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])


@BOTH_WAYS
@pytest.mark.parametrize("path", [path for path in PATHS if path not in SHARED])
def test_requests_made_from_the_document_are_answered_as_it_says(
    few_fields: BaseSchema, path: str, mode: GenerationMode
) -> None:
    ask_all(few_fields, path, mode, 2)


@pytest.mark.slow
@BOTH_WAYS
@pytest.mark.parametrize("path", PATHS)
def test_requests_made_from_the_whole_document_are_answered_as_it_says(
    interface: BaseSchema, path: str, mode: GenerationMode
) -> None:
    ask_all(interface, path, mode, 12 * EXAMPLES)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """Of the service as it runs, with its own server and two workers."""
    with running(workers=2) as service:
        yield f"http://127.0.0.1:{service.port}"


@pytest.fixture(scope="module")
def served() -> BaseSchema:
    """The document for requests over the network: that of an application would ask the application."""
    return schemathesis.openapi.from_dict(spec(), config=CONFIG)


@pytest.mark.slow
@BOTH_WAYS
@pytest.mark.parametrize("path", PATHS)
def test_the_running_service_answers_as_it_says(
    served: BaseSchema, path: str, mode: GenerationMode, address: str
) -> None:
    ask_all(served, path, mode, 4 * EXAMPLES, address)


def test_no_check_of_the_answers_is_left_out() -> None:
    assert {"not_a_server_error", "status_code_conformance", "response_schema_conformance",
            "response_headers_conformance", "content_type_conformance", "unsupported_method",
            "negative_data_rejection", "positive_data_acceptance"} <= set(CHECKS.get_all_names())  # fmt: skip
    assert len(EVERY_CHECK) == len(CHECKS.get_all_names())
    responses = [one for part in schemas(spec()) for one in (part.get("responses") or {}).values()]
    assert not any("links" in response for response in responses), "steps could follow them"
