"""Pictures of a page and as files: the same bytes, told in words, harmless; words never on a line or on words."""

import io
import math
import re
import subprocess
import sys
import threading
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from itertools import pairwise
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from PIL import Image

from gearing_api.answer import AfterChange, Limit, Limits
from gearing_api.build import Build
from gearing_api.formats import CHARTS, pictures, preview
from gearing_api.formats.bars import limits_drawing
from gearing_api.formats.drawing import (
    STYLES,
    THEMES,
    Area,
    Bar,
    Box,
    Dot,
    Drawing,
    Line,
    Link,
    Shape,
    Text,
    as_page_part,
    stylesheet,
)
from gearing_api.formats.pictures import NARROW, WIDE
from gearing_api.formats.raster import as_png
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = [name for name, question in QUESTIONS.items() if question.draws]
NOT_DRAWN = [name for name, question in QUESTIONS.items() if not question.draws]
LINKED = ["regear", "axle-check"]
EACH = pytest.mark.parametrize("name", DRAWN)
WIDTHS = pytest.mark.parametrize("width", [WIDE, NARROW])


def build_of(name: str, **changes: object) -> Build:
    fields = {key: value for key, value in TRUCK.items() if key in QUESTIONS[name].fields}
    more = {"target_crawl_ratio": 50} if name == "regear" else {}
    return read_build(fields | more | changes)


def link(changes: Mapping[str, object]) -> str:
    return "/?" + urlencode({name: value for name, value in changes.items() if value is not None})


def drawing(name: str, width: float = WIDE, *, linked: bool = True, **changes: object) -> Drawing:
    build = build_of(name, **changes)
    (found,) = pictures.drawings(
        QUESTIONS[name], build, ask(QUESTIONS[name], build), link if linked else None, width
    )
    return found


def test_a_question_is_drawn_where_its_answer_has_a_picture() -> None:
    answers = {
        name: ask(question, read_build(dict(question.example))) for name, question in QUESTIONS.items()
    }
    assert [name for name, answer in answers.items() if answer.picture is not None] == DRAWN


def flat(shapes: tuple[Shape, ...]) -> Iterator[Shape]:
    for shape in shapes:
        if isinstance(shape, Link):
            yield from flat(shape.shapes)
        else:
            yield shape


def space(shape: Shape) -> Iterator[Box]:
    """The space that strokes and fills take, words and what cannot be seen left out."""
    match shape:
        case Line(_, points):
            for (a, b), (c, d) in pairwise(points):
                parts = 1 if a == c or b == d else max(1, int(math.hypot(c - a, d - b)))
                for part in range(parts):
                    x, x_end = (a + (c - a) * at / parts for at in (part, part + 1))
                    y, y_end = (b + (d - b) * at / parts for at in (part, part + 1))
                    yield Box(
                        min(x, x_end) - 0.5, min(y, y_end) - 0.5, max(x, x_end) + 0.5, max(y, y_end) + 0.5
                    )
        case Area(kind, points) if kind != "needed-band":
            across, down = zip(*points, strict=True)
            yield Box(min(across), min(down), max(across), max(down))
        case Bar(kind, x, y, width, height) if kind != "touch":
            yield Box(x, y, x + width, y + height)
        case Dot(_, x, y, radius):
            yield Box(x - radius, y - radius, x + radius, y + radius)


def clashes(made: Drawing) -> list[str]:
    shapes = list(flat(made.shapes))
    texts = [shape for shape in shapes if isinstance(shape, Text)]
    others = [box for shape in shapes for box in space(shape)]
    paper = Box(0.0, 0.0, made.width, made.height)
    found = []
    for place, text in enumerate(texts):
        box = text.box
        if (
            box.left < paper.left
            or box.right > paper.right
            or box.bottom > paper.bottom
            or box.top < paper.top
        ):
            found.append(f"{text.text} leaves the paper")
        found += [f"{text.text} on {other}" for other in others if box.overlaps(other)]
        found += [f"{text.text} on {other.text}" for other in texts[:place] if box.overlaps(other.box)]
    return found


HARD: dict[str, list[dict[str, object]]] = {
    "regear": [
        {},
        {"available_ratios": [4.1]},
        {"available_ratios": [3.07, 3.08, 3.09, 6.5], "axle_ratio": 8, "original_axle_ratio": 2.3},
        {"target_crawl_ratio": 500, "hold_grade_percent": 50},
        {
            "target_overtaking_time": 5,
            "target_fuel_change_percent": -5,
            "cruise_engine_speed_range": [2000, 2010],
        },
    ],
    "road-speed": [
        {"gear_ratios": [1.0]},
        {"gear_ratios": [10.0 / (place + 1) for place in range(24)]},
        {"cruise_speed": 200},
    ],
    "cruise": [
        {"cruise_speed": 200, "grade_percent": 90},
        {"idle_speed": 2990, "redline_speed": 3010},
        {"gear_ratios": [0.9 - 0.02 * place for place in range(24)]},
    ],
    "driveline": [
        {"axle_position": "rear"},
        {"propshaft_drop": 2},
        {"propshaft_drop": 60, "propshaft_joints": "two-cross"},
    ],
    "descent": [{"gear_ratios": [10.0 / (place + 1) for place in range(24)]}, {"descent_grade_percent": 40}],
    "axle-check": [{}, {"peak_torque": "900 lb-ft"}, {"peak_torque": "20 lb-ft"}, {"axle_position": "rear"}],
}


def test_a_question_draws_what_its_answers_have_a_picture_of() -> None:
    asked = {name: ask(question, read_build(question.example)) for name, question in QUESTIONS.items()}
    assert [name for name, answer in asked.items() if answer.picture is not None] == DRAWN


@EACH
@WIDTHS
def test_words_stand_on_no_line_and_no_other_words(name: str, width: float) -> None:
    for changes in ({}, *HARD.get(name, ())):
        assert clashes(drawing(name, width, **changes)) == [], changes


class TestRuler:
    def test_it_names_the_window_and_every_mark(self) -> None:
        made = drawing("regear")
        words = [shape.text for shape in flat(made.shapes) if isinstance(shape, Text)]
        for said in (
            "all targets: 4.13 to 4.56",
            "was 3.73",
            "restores 4.15",
            "fitted 4.56",
            "recommended 4.30",
        ):
            assert said in words
        assert made.title == "Axle ratio: every target met from 4.13 to 4.56"

    def test_bars_begin_and_end_where_the_ratios_stand(self) -> None:
        """The frame's left side stands at 50 / (4.46 x 2.72) on the scale of ratios, by its own arithmetic."""
        made = drawing("regear", available_ratios=[3, 6], original_axle_ratio=3.5)
        low, high = 3 / 1.04, 6 * 1.04
        at = 14 + math.log(50 / (4.46 * 2.72) / low) / math.log(high / low) * (WIDE - 28)
        bars = [shape for shape in made.shapes if isinstance(shape, Bar)]
        assert min(abs(bar.x - at) for bar in bars) < 0.01

    def test_each_pair_is_a_link_that_asks_for_it(self) -> None:
        links = [shape for shape in drawing("regear").shapes if isinstance(shape, Link)]
        assert ("ratio", "43/10") in [one.data[0] for one in links]
        assert "/?axle_ratio=43%2F10" in [one.href for one in links]
        assert len(links) == 18

    def test_forms_differ_without_colour(self) -> None:
        made = drawing("regear", linked=False)
        assert {type(shape) for shape in made.shapes if getattr(shape, "kind", "") in ("hollow", "ring", "handle")} == {
            Area, Dot
        }  # fmt: skip
        assert STYLES["ring"].fill is None
        assert STYLES["handle"].fill is not None


class TestLimits:
    def test_weakest_first_and_changes_lead_where_they_are_made(self) -> None:
        made = drawing("axle-check")
        names = [shape.text for shape in made.shapes if isinstance(shape, Text)]
        build = build_of("axle-check")
        table = ask(QUESTIONS["axle-check"], build).table
        assert table is not None
        columns = {column.name: column.values for column in table()}
        worst_first = [name for _, name in sorted(zip(columns["margin"], columns["part"], strict=True))]
        assert [name for name in names if name in worst_first] == worst_first
        hrefs = [shape.href for shape in made.shapes if isinstance(shape, Link)]
        assert "/?stub_splines=30&stub_pitch=24" in hrefs

    @pytest.mark.parametrize("position", ["front", "rear"])
    @pytest.mark.parametrize(
        "more", [{}, {"differential": "limited-slip"}, {"inner_steel": "carbon-quenched"}]
    )
    def test_a_change_followed_gives_what_its_bar_shows(self, position: str, more: dict[str, object]) -> None:
        question = QUESTIONS["axle-check"]
        changes: dict[str, object] = {"axle_position": position, "stub_steel": "carbon-quenched", **more}
        picture = ask(question, build_of("axle-check", **changes)).picture
        assert picture is not None
        shown = picture()
        assert isinstance(shown, Limits)
        assert shown.changes
        for change in shown.changes:
            fields = {**TRUCK, **changes, **change.fields}
            kept = {
                key: value for key, value in fields.items() if key in question.fields and value is not None
            }
            result = ask(question, read_build(kept)).result
            assert str(result["weakest_part"]) == change.weakest.name, change.name
            assert float(result["weakest_margin"]) == pytest.approx(change.weakest.margin, rel=1e-5)  # type: ignore[arg-type]

    def test_bars_end_where_the_margin_does(self) -> None:
        limits = Limits("t", (Limit("a", 0.5, 1.0), Limit("b", 1.0, 1.0)), ("c",), ())
        made = limits_drawing("t", limits, 300.0)
        a, lighter, b, *_ = (shape for shape in made.shapes if isinstance(shape, Bar))
        one = next(
            shape for shape in made.shapes if isinstance(shape, Line) and shape.kind == "limit"
        ).points[0][0]
        assert (a.width, b.x + b.width) == (pytest.approx((one - a.x) / 2.0), pytest.approx(one))
        assert lighter.x + lighter.width == pytest.approx(one)
        assert any(isinstance(shape, Text) and shape.text == "c: not known" for shape in made.shapes)


class TestPagePart:
    @EACH
    def test_it_has_no_style_of_its_own_and_is_a_group_of_links(self, name: str) -> None:
        (written,) = pictures.pictures(
            QUESTIONS[name], build_of(name), ask(QUESTIONS[name], build_of(name)), link
        ).values()
        assert "style" not in written
        assert not re.search(r"#[0-9a-f]{3}", written)
        root = ET.fromstring(written)
        assert root.get("role") == ("group" if name in LINKED else "img")
        assert root.find(f"{SVG}title") is not None
        kinds = {
            cls for element in root.iter() for cls in (element.get("class") or "").split() if cls[:2] == "p-"
        }
        sheet = stylesheet()
        assert all(f".{kind}{{" in sheet for kind in kinds - {f"p-{name}"})

    def test_a_sheet_has_those_of_its_parts(self) -> None:
        sheet = QUESTIONS["build-sheet"]
        build = read_build(TRUCK)
        found = pictures.pictures(sheet, build, ask(sheet, build), link, NARROW)
        assert set(DRAWN) == set(found)

    def test_words_are_harmless(self) -> None:
        hostile = "<script>alert(1)</script> & \"'"
        limits = Limits(
            hostile, (Limit(hostile, 1.0, 2.0),), (hostile,),
            (AfterChange(hostile, Limit(hostile, 1.0, 1.0), {"tyre": hostile}),),
        )  # fmt: skip
        written = as_page_part(limits_drawing("t", limits, 300.0, link=lambda _: f"/?{hostile}"))
        assert "<script" not in written
        assert ET.fromstring(written).findtext(f"{SVG}title") == hostile


class TestFiles:
    @EACH
    @pytest.mark.parametrize("form", CHARTS)
    def test_the_same_request_gives_the_same_bytes(self, client: FlaskClient, name: str, form: str) -> None:
        address = f"/v1/{name}.{form}?{demo_query(QUESTIONS[name])}"
        first = client.get(address)
        pictures.written.cache_clear()
        assert first.status_code == 200
        assert client.get(address).data == first.data

    @EACH
    def test_sizes_and_themes(self, client: FlaskClient, name: str) -> None:
        asked = f"{demo_query(QUESTIONS[name])}&chart_size=480x320&chart_theme=dark"
        svg = ET.fromstring(client.get(f"/v1/{name}.svg?{asked}").data)
        assert (svg.get("width"), svg.get("height"), svg.get("role")) == ("480", "320", "img")
        picture = Image.open(io.BytesIO(client.get(f"/v1/{name}.png?{asked}").data)).convert("RGB")
        assert picture.size == (480, 320)
        assert "#{:02x}{:02x}{:02x}".format(*picture.getpixel((2, 2))) == "#202625"  # type: ignore[misc]

    @EACH
    @pytest.mark.parametrize("form", CHARTS)
    def test_suffix_accept_and_post_agree(self, client: FlaskClient, name: str, form: str) -> None:
        asked = demo_query(QUESTIONS[name])
        by_suffix = client.get(f"/v1/{name}.{form}?{asked}")
        assert by_suffix.mimetype == CHARTS[form].media_type
        assert by_suffix.headers["ETag"]
        by_accept = client.get(f"/v1/{name}?{asked}", headers={"Accept": CHARTS[form].media_type})
        assert by_accept.data == by_suffix.data
        assert by_accept.headers["Vary"] == "Accept"
        assert client.head(f"/v1/{name}.{form}?{asked}").mimetype == CHARTS[form].media_type

    def test_another_process_gives_the_same_bytes(self) -> None:
        code = (
            "import sys; from gearing_api.app import create_app;"
            "sys.stdout.buffer.write(create_app().test_client().get(sys.argv[1]).data)"
        )
        address = f"/v1/cruise.svg?{demo_query(QUESTIONS['cruise'])}"
        runs = {
            subprocess.run(
                [sys.executable, "-c", code, address],
                capture_output=True,
                check=True,
                env={"PYTHONHASHSEED": seed},
            ).stdout
            for seed in ("1", "2")
        }
        assert len(runs) == 1

    def test_memory_is_bounded(self) -> None:
        assert pictures.written.cache_info().maxsize == pictures.KEPT

    def test_threads_draw_all_alike(self) -> None:
        drawn: list[bytes] = []
        made = drawing("cruise", linked=False)
        threads = [
            threading.Thread(target=lambda: drawn.append(as_png(made, THEMES["light"], 620, 372)))
            for _ in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(drawn) == 4
        assert len(set(drawn)) == 1

    @EACH
    def test_it_asks_nothing_of_others_and_is_told_in_words(self, client: FlaskClient, name: str) -> None:
        written = client.get(f"/v1/{name}.svg?{demo_query(QUESTIONS[name])}").get_data(as_text=True)
        assert set(re.findall(r"https?://[^\"' <]+", written)) == {"http://www.w3.org/2000/svg"}
        assert "url(" not in written
        assert "style" not in written
        root = ET.fromstring(written)
        assert root.findtext(f"{SVG}title")
        assert len(root.findtext(f"{SVG}desc") or "") > 80

    def test_it_can_do_nothing_when_opened_by_itself(self, client: FlaskClient) -> None:
        policy = client.get(f"/v1/cruise.svg?{demo_query(QUESTIONS['cruise'])}").headers[
            "Content-Security-Policy"
        ]
        assert policy == "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'"

    @pytest.mark.parametrize("name", NOT_DRAWN)
    @pytest.mark.parametrize("form", CHARTS)
    def test_other_questions_have_no_picture(self, client: FlaskClient, name: str, form: str) -> None:
        asked = demo_query(QUESTIONS[name])
        assert client.get(f"/v1/{name}.{form}?{asked}").status_code == 404
        refused = client.get(f"/v1/{name}?{asked}", headers={"Accept": CHARTS[form].media_type})
        assert refused.status_code == 406

    @pytest.mark.parametrize(
        "wrong", ["chart_size=9000x9000", "chart_size=800", "chart_theme=pink", "pick=power_needed"]
    )
    def test_what_pictures_do_not_take_is_refused(self, client: FlaskClient, wrong: str) -> None:
        response = client.get(f"/v1/cruise.svg?{demo_query(QUESTIONS['cruise'])}&{wrong}")
        assert response.status_code == 422
        assert response.mimetype == "application/problem+json"

    def test_the_spec_lists_them_where_they_are(self, client: FlaskClient) -> None:
        spec = client.get("/openapi.json").get_json()
        content = spec["paths"]["/v1/{question}.{format}"]["get"]["responses"]["200"]["content"]
        assert {form.media_type for form in CHARTS.values()} <= content.keys()
        offered = {one["name"]: one["formats"] for one in client.get("/v1").get_json()["questions"]}
        assert {name for name, formats in offered.items() if {"svg", "png"} <= {*formats}} == set(DRAWN)

    def test_windows_come_when_asked_for(self, client: FlaskClient) -> None:
        asked = demo_query(QUESTIONS["regear"])
        assert "windows" not in client.get(f"/v1/regear?{asked}").get_json()
        windows = client.get(f"/v1/regear?{asked}&windows=1").get_json()["windows"]
        assert windows["all_met"] == [pytest.approx([50 / (4.46 * 2.72), 4.563451770])]
        assert [one["target"] for one in windows["targets"]] == ["engine speed", "grade held", "crawl ratio"]
        sheet = client.get(f"/v1/build-sheet?{asked}&windows=1").get_json()
        assert sheet["parts"]["regear"]["windows"] == windows

    def test_without_torque_there_is_nothing_to_draw(self, client: FlaskClient) -> None:
        asked = "tyre=33+in&axle_ratio=4.1&gear_ratios=4,2,1&vehicle_mass=5000"
        assert client.get(f"/v1/axle-check.svg?{asked}").status_code == 422


class TestPreviews:
    @pytest.mark.slow
    @pytest.mark.parametrize("name", QUESTIONS)
    def test_every_question_has_one_of_its_own(self, client: FlaskClient, name: str) -> None:
        address = f"/pages/preview/{name}.png?{demo_query(QUESTIONS[name])}"
        first = client.get(address)
        assert first.status_code == 200
        assert Image.open(io.BytesIO(first.data)).size == (1200, 630)
        pictures.written.cache_clear()
        assert client.get(address).data == first.data

    def test_it_shows_verdict_and_answer(self, monkeypatch: pytest.MonkeyPatch, client: FlaskClient) -> None:
        seen: list[Drawing] = []
        monkeypatch.setattr(preview, "written", lambda drawing, *_: seen.append(drawing) or b"")
        fields = "tyre=33x12.50R15&axle_ratio=4.1&gear_ratios=4,2,1"
        for asked in (f"{fields}&vehicle_mass=5000", f"{fields}&vehicle_mass=5000&peak_power=200&peak_power_speed=4000"
                      "&peak_torque=300&peak_torque_speed=2500", f"{fields}&vehicle_mass=20000&peak_power=60"
                      "&peak_power_speed=4000&peak_torque=90&peak_torque_speed=2500"):  # fmt: skip
            assert client.get(f"/pages/preview/cruise.png?{asked}").status_code == 200
        words = [" ".join(shape.text for shape in made.shapes if isinstance(shape, Text)) for made in seen]
        assert [
            said in text
            for said, text in zip(("needs peak power", "nothing found", "check"), words, strict=True)
        ] == [True] * 3
        for made in seen:
            assert all(word in words[seen.index(made)] for word in made.about.split()[:3])
            boxes = [shape.box for shape in made.shapes if isinstance(shape, Text)]
            assert not [
                one for place, one in enumerate(boxes) if any(one.overlaps(two) for two in boxes[:place])
            ]

    def test_a_refused_build_has_none(self, client: FlaskClient) -> None:
        assert client.get("/pages/preview/cruise.png?tyre=33").status_code == 422
