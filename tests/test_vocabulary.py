"""The vocabulary as a whole: fields in use, names that have changed, digits by trust."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api import tables
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS, RENAMED, RESULTS, InvalidBuild, hint, read_fields

AWAITED: dict[str, tuple[str, ...]] = {}
"""Fields that no question uses yet, by the topic that will: empty when all of them are answered."""

BUILD = {"tyre": "35x12.50R17LT", "axle_ratio": 4.1, "gear_ratios": "4.46,2.61,1"}


def test_every_field_is_used_or_awaited() -> None:
    used = {name for question in QUESTIONS.values() for name in question.fields}
    awaited = [name for names in AWAITED.values() for name in names]
    assert len(awaited) == len(set(awaited))
    assert not used & set(awaited), "a question uses it now: strike it from the list"
    assert used | set(awaited) == set(FIELDS)


def test_what_has_changed_its_name_is_gone() -> None:
    told = " ".join(RENAMED.values())
    assert set(RENAMED).isdisjoint({*FIELDS, *RESULTS})
    assert all(hint(old, ()) == f"; its name is now {new}" for old, new in RENAMED.items())
    for word in told.replace(",", "").split():
        assert word in {*FIELDS, *RESULTS, "and", "or", "beside", "it"}, word


@pytest.mark.parametrize("old", RENAMED)
class TestOldNamesAreRefusedWithTheNew:
    def test_as_a_field(self, client: FlaskClient, old: str) -> None:
        with pytest.raises(InvalidBuild, match=f"its name is now {RENAMED[old]}"):
            read_fields({old: "x"}, "us")
        self.refused(client.get("/v1/crawl", query_string=BUILD | {old: "x"}), old)

    def test_in_pick(self, client: FlaskClient, old: str) -> None:
        self.refused(client.get("/v1/crawl", query_string=BUILD | {"pick": old}), old)
        self.refused(client.post("/v1/crawl/batch", json={"columns": BUILD, "pick": old}), old)

    def test_in_report_and_sort(self, client: FlaskClient, old: str) -> None:
        plan: dict[str, Any] = {
            "build": BUILD,
            "vary": {"axle_ratio": [4.1, 4.56]},
            "report": ["crawl_ratio"],
        }
        plan["build"] = {name: raw for name, raw in BUILD.items() if name != "axle_ratio"}
        for change in ({"report": [old]}, {"sort": old}, {"sort": f"-{old}"}):
            self.refused(client.post("/v1/comparison", json=plan | change), old)

    @staticmethod
    def refused(response: Any, old: str) -> None:
        assert response.status_code == 422
        assert f"its name is now {RENAMED[old]}" in json.loads(response.data)["detail"]


def test_fields_say_on_what_a_choice_rests_or_nothing() -> None:
    for field in FIELDS.values():
        kind, source = field.basis
        assert bool(kind) == bool(source), field.name
        assert kind in ("", *tables.KINDS, "computed"), field.name


def test_digits_go_by_trust() -> None:
    assert {result.digits for result in RESULTS.values()} == {2, 3, 4}
    expected = {"crawl_ratio": 4, "rolling_radius": 4, "power_needed": 3, "steepest_grade_percent": 3,
                "weakest_margin": 2, "bending_stress": 2, "ring_gear_torque": 2, "tyre_limit": 2}  # fmt: skip
    assert {name: RESULTS[name].digits for name in expected} == expected
