"""Limits and switches from the environment."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from gearing_api.app import create_app
from gearing_api.settings import Settings

GUIDE = Path(__file__).parents[1] / "gearing_api" / "server" / "README.md"
NAMES = [field.name for field in fields(Settings)]
NUMBERS = [field.name for field in fields(Settings) if field.type is int]
TEXTS = {
    "rate_storage": "rediss://counts.example:6379/1",
    "turns_file": "/dev/shm/turns",
    "public_address": "https://gears.example:8443",
}


def test_an_empty_environment_gives_the_defaults() -> None:
    assert Settings.from_environment({}) == Settings()
    assert Settings.from_environment({"PATH": "/bin", "GEARING": "1"}) == Settings()


def test_the_guide_lists_each_with_its_default() -> None:
    rows = re.findall(
        r"^\| `GEARING_(\w+)` \*? ?\| *([\d,]*) *\|", GUIDE.read_text(encoding="utf-8"), re.MULTILINE
    )
    listed = {name.lower(): default.replace(",", "") for name, default in rows}
    assert listed == {name: str(getattr(Settings(), name)) for name in NAMES}


def test_every_setting_is_a_number_or_a_text_that_is_known_here() -> None:
    assert {*NUMBERS, *TEXTS} == {*NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_each_is_set_by_the_variable_of_its_name(name: str) -> None:
    changed = Settings.from_environment({f"GEARING_{name.upper()}": TEXTS.get(name, "17")})
    assert getattr(changed, name) == TEXTS.get(name, 17)
    assert all(getattr(changed, other) == getattr(Settings(), other) for other in NAMES if other != name)


@pytest.mark.parametrize(
    "text", ["", " ", "-1", "+1", "1.5", "1e3", "1_000", "0x10", "many", "١٧", "1 000", "²"]
)
def test_what_is_no_whole_number_is_refused_by_the_name_of_the_variable(text: str) -> None:
    with pytest.raises(ValueError, match=r"^GEARING_BODY_BYTES must be a whole number"):
        Settings.from_environment({"GEARING_BODY_BYTES": text})


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("TURNS_FILE", "turns"),
        ("RATE_STORAGE", "127.0.0.1:6379"),
        ("RATE_STORAGE", "file:///etc/passwd"),
        ("RATE_STORAGE", "redis://a b"),
        ("PUBLIC_ADDRESS", "gears.example"),
        ("PUBLIC_ADDRESS", "https://gears.example/"),
        ("PUBLIC_ADDRESS", "ftp://gears.example"),
        ("PUBLIC_ADDRESS", "https://gears.example\nX: y"),
        ("PUBLIC_ADDRESS", "https://user@gears.example"),
    ],
)
def test_an_address_of_another_shape_is_refused(name: str, text: str) -> None:
    with pytest.raises(ValueError, match=rf"^GEARING_{name} must be .+ such as "):
        Settings.from_environment({f"GEARING_{name}": text})


@pytest.mark.parametrize("name", TEXTS)
def test_an_address_that_is_empty_is_none(name: str) -> None:
    assert getattr(Settings.from_environment({f"GEARING_{name.upper()}": ""}), name) == ""


def test_the_application_reads_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GEARING_QUERY_BYTES", "10")
    client = create_app().test_client()
    assert client.get("/v1/tyre?tyre=265/70R17").status_code == 414


STALE = "stale-while-revalidate"


def test_the_time_to_keep_an_answer_is_a_setting() -> None:
    for settings, expected in (
        (Settings(cache_seconds=0, stale_seconds=0), "public, max-age=0"),
        (Settings(cache_seconds=9, stale_seconds=8), f"public, max-age=9, {STALE}=8, stale-if-error=8"),
        (Settings(), f"public, max-age=300, {STALE}=86400, stale-if-error=86400"),
    ):
        client = create_app(settings).test_client()
        assert client.get("/v1/tyre?tyre=265/70R17").headers["Cache-Control"] == expected
