"""Charts: the same bytes for the same curve, told in words too, and only where there is a curve."""

import io
import os
import re
import subprocess
import sys
import threading
import xml.etree.ElementTree as ET
from typing import Any
from urllib.parse import urlencode

import numpy as np
import orjson
import pytest
from flask.testing import FlaskClient
from PIL import Image

from gearing_api.answer import Question
from gearing_api.build import Build
from gearing_api.formats import CHARTS, chart, offered
from gearing_api.formats.document import Document, document
from gearing_api.formats.options import OutputOptions
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import InvalidBuild

DRAWN = ["road-speed", "cruise", "descent", "acceleration", "fuel", "driveline"]
NOT_DRAWN = [name for name, question in QUESTIONS.items() if not question.draws]
SVG = "{http://www.w3.org/2000/svg}"
EACH_CHART = pytest.mark.parametrize("name", DRAWN)


def curve_of(name: str, **changes: object) -> Document:
    question = QUESTIONS[name]
    build = read_build({key: value for key, value in TRUCK.items() if key in question.fields} | changes)
    return of(question, build)["curve"]  # type: ignore[no-any-return]


def of(question: Question, build: Build) -> Document:
    made = document(question, build, ask(question, build), drawn=True)
    return made | {"curve": chart.curve_document(made["picture"], build.system)}


def drawn_as(curve: Document, form: str, **options: Any) -> bytes:
    asked = OutputOptions(**options)
    return chart._render(orjson.dumps(curve), asked.chart_size, asked.chart_theme, form)  # type: ignore[arg-type]


def lines_of(curve: Document, role: str) -> list[Document]:
    return [line for line in curve["lines"] if line["role"] == role]


def query(name: str, **changes: object) -> str:
    fields = {key: value for key, value in TRUCK.items() if key in QUESTIONS[name].fields} | changes
    return urlencode(
        {
            key: ",".join(map(str, value)) if isinstance(value, list) else str(value)
            for key, value in fields.items()
        }
    )


def drawing(curve: Document, **options: Any) -> ET.Element:
    return ET.fromstring(drawn_as(curve, "svg", **options))


def words(root: ET.Element) -> list[str]:
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def test_these_are_drawn() -> None:
    drawn = {name for name, question in QUESTIONS.items() if question.draws}
    assert drawn == {*DRAWN, "regear", "axle-check"}
    assert list(offered(QUESTIONS["crawl"])) == ["json", "csv", "txt", "md"]


class TestCurves:
    def test_gears_end_where_the_table_says(self) -> None:
        build = read_build(TRUCK)
        table = document(QUESTIONS["road-speed"], build, ask(QUESTIONS["road-speed"], build))["table"]
        at = table["columns"].index("top_speed")
        top_speeds = [row[at] for row in table["rows"]][: len(TRUCK["gear_ratios"])]  # type: ignore[arg-type]
        assert [line["x"][-1] for line in lines_of(curve_of("road-speed"), "gear")] == top_speeds

    def test_gears_downhill_meet_the_hill_where_they_settle(self) -> None:
        curve, build = curve_of("descent"), read_build(TRUCK)
        table = document(QUESTIONS["descent"], build, ask(QUESTIONS["descent"], build))["table"]
        at = table["columns"].index("settling_speed")
        (hill,) = lines_of(curve, "needed")
        assert hill["y"] == pytest.approx([14, 14])
        names = [f"{'low ' if row[0] > 1 else ''}gear {row[1]:g}" for row in table["rows"]]
        settles = dict(zip(names, (row[at] for row in table["rows"]), strict=True))
        met = 0
        for line in lines_of(curve, "gear"):
            if line["y"][0] < 14 < line["y"][-1]:
                met += 1
                assert np.interp(14, line["y"], line["x"]) == pytest.approx(settles[line["label"]], rel=2e-3)
        assert met > 1

    def test_an_upshift_keeps_the_road_speed_and_drops_the_engine_to_the_next_gear(self) -> None:
        curve = curve_of("road-speed")
        (path,) = lines_of(curve, "path")
        gears = lines_of(curve, "gear")
        assert path["y"][1::2] == [5500.0] * 6
        for place, (before, after) in enumerate(zip(path["x"][1:-1:2], path["x"][2::2], strict=True)):
            assert before == after
            x, y = gears[place + 1]["x"], gears[place + 1]["y"]
            assert path["y"][2 + 2 * place] == pytest.approx(after * y[1] / x[1])

    def test_before_is_drawn_where_the_original_was_given(self) -> None:
        assert len(lines_of(curve_of("road-speed"), "before")) == 1
        bare = {"original_tyre": TRUCK["tyre"], "original_axle_ratio": TRUCK["axle_ratio"]}
        same = curve_of("road-speed", **bare)
        assert lines_of(same, "before")[0]["x"] == lines_of(same, "gear")[-1]["x"]
        question = QUESTIONS["road-speed"]
        build = read_build(dict(question.example))
        without = of(question, build)["curve"]
        assert not lines_of(without, "before")

    def test_marks_are_the_results(self) -> None:
        for name, result in (("road-speed", "cruise_engine_speed"), ("cruise", "power_needed")):
            build = read_build(TRUCK)
            made = of(QUESTIONS[name], build)
            (mark,) = lines_of(made["curve"], "mark")
            assert mark["x"] == pytest.approx([65.0])
            assert mark["y"] == [made["result"][result]]

    def test_power_needed_meets_power_available_at_the_top_speed_on_the_grade(self) -> None:
        build = read_build(
            TRUCK | {"grade_percent": 3, "cruise_reserve_percent": 0, "driveline_efficiency": 0.9}
        )
        made = of(QUESTIONS["cruise"], build)
        (needed,) = lines_of(made["curve"], "needed")
        top = made["result"]["top_speed_on_grade"]

        def at(line: Document) -> float:
            from numpy import interp

            return float(interp(top, line["x"], line["y"], left=0.0, right=0.0))

        best = max(at(line) for line in lines_of(made["curve"], "gear"))
        assert best == pytest.approx(at(needed), rel=2e-3)

    def test_without_an_engine_only_the_need_is_drawn(self) -> None:
        question = QUESTIONS["cruise"]
        fields = ("tyre", "axle_ratio", "gear_ratios", "vehicle_mass")
        build = read_build({name: TRUCK[name] for name in fields})
        curve = of(question, build)["curve"]
        assert [line["role"] for line in curve["lines"]] == ["needed", "mark"]
        assert words(drawing(curve))

    @EACH_CHART
    def test_the_curve_is_in_the_units_of_the_build(self, name: str) -> None:
        question = QUESTIONS[name]
        build = read_build(dict(question.example), "metric")
        curve = of(question, build)["curve"]
        assert "km/h" in [axis["unit"] for axis in curve["axes"]]

    def test_no_other_format_carries_it(self, client: FlaskClient) -> None:
        assert "curve" not in client.get(f"/v1/road-speed?{demo_query(QUESTIONS['road-speed'])}").get_json()


class TestDrawing:
    @EACH_CHART
    @pytest.mark.parametrize("form", CHARTS)
    def test_the_same_curve_gives_the_same_bytes(self, name: str, form: str) -> None:
        made = curve_of(name)
        first = drawn_as(made, form)
        chart._render.cache_clear()
        assert drawn_as(made, form) == first

    def test_another_process_gives_the_same_bytes(self, client: FlaskClient) -> None:
        """Its hashes of text differ from those of this process."""
        code = (
            "import sys; from gearing_api.app import create_app;"
            "sys.stdout.buffer.write(create_app().test_client().get(sys.argv[1]).data)"
        )
        address = f"/v1/road-speed.svg?{query('road-speed')}"
        there = subprocess.run(
            [sys.executable, "-c", code, address],
            capture_output=True,
            check=True,
            env=os.environ | {"PYTHONHASHSEED": "1"},
        ).stdout
        assert there == client.get(address).data

    @EACH_CHART
    @pytest.mark.parametrize("size", chart.SIZES)
    def test_sizes_are_kept_to_the_pixel(self, name: str, size: str) -> None:
        width, height = map(int, size.split("x"))
        made = curve_of(name)
        root = ET.fromstring(drawn_as(made, "svg", chart_size=size))
        assert (root.get("width"), root.get("height")) == (str(width), str(height))
        picture = Image.open(io.BytesIO(drawn_as(made, "png", chart_size=size)))
        assert picture.size == (width, height)

    @pytest.mark.parametrize("theme", chart.THEMES)
    def test_themes_have_their_paper(self, theme: str) -> None:
        made = curve_of("road-speed")
        picture = Image.open(io.BytesIO(drawn_as(made, "png", chart_theme=theme))).convert("RGB")
        assert "#{:02x}{:02x}{:02x}".format(*picture.getpixel((3, 3))) == chart.THEMES[theme].paper

    @EACH_CHART
    def test_it_is_told_in_words(self, name: str) -> None:
        curve = curve_of(name)
        root = drawing(curve)
        named = {element.get("id"): element for element in root if element.get("id")}
        assert root.get("role") == "img"
        assert (
            next(named[part].text for part in (root.get("aria-labelledby") or "").split()) == curve["title"]
        )
        told = named["desc"].text or ""
        assert curve["about"] in told
        for line in curve["lines"]:
            assert f"{line['label'].capitalize()}: " in told

    @EACH_CHART
    def test_each_line_is_named_where_it_stands_and_strokes_differ(self, name: str) -> None:
        curve = curve_of(name)
        root = drawing(curve)
        shown = words(root)
        for line in curve["lines"]:
            if line["role"] != "mark":
                assert any(line["label"] in text for text in shown), line["label"]
        marked = {line["label"] for line in curve["lines"] if line["role"] == "mark"}
        said = [text for text in shown if re.fullmatch(r"[\d.]+ (mph|s): .+", text)]
        assert len(said) >= len(marked)
        strokes = [
            re.sub(r"stroke: #\w+;|stroke-linecap: \w+", "", path.get("style") or "")
            for path in root.iter(f"{SVG}path")
            if "stroke-dasharray" in (path.get("style") or "")
        ]
        gears = sum(line["role"] == "gear" for line in curve["lines"])
        assert len(set(strokes)) >= (3 if gears > 2 else 1), "line styles without their colours"

    def test_text_is_text_and_harmless(self) -> None:
        curve = curve_of("road-speed")
        hostile = '<script>alert(1)</script> & "$\\frac{1}{2}$" </desc>'
        curve |= {"title": hostile, "about": hostile}
        curve["lines"][0]["label"] = hostile
        written = drawn_as(curve, "svg").decode()
        assert "<script" not in written
        root = ET.fromstring(written)
        assert hostile in words(root)
        assert next(root.iter(f"{SVG}title")).text == hostile

    @EACH_CHART
    def test_it_asks_nothing_of_others(self, name: str) -> None:
        written = drawn_as(curve_of(name), "svg").decode()
        assert written.startswith("<svg ")
        addresses = set(re.findall(r"https?://[^\"' <]+", written))
        names = {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
        assert addresses == names, "names of formats, no places to fetch from"
        assert "url(#" in written
        assert not re.search(r"url\((?!#)", written)

    def test_many_gears_and_few_are_drawn(self) -> None:
        for gears in (
            [1.0],
            [0.9 - 0.02 * place for place in range(24)],
            [10.0 / (place + 1) for place in range(24)],
        ):
            for name in DRAWN:
                assert words(drawing(curve_of(name, gear_ratios=gears)))

    def test_odd_speeds_are_drawn(self) -> None:
        assert words(drawing(curve_of("road-speed", cruise_speed=200)))
        assert words(drawing(curve_of("cruise", cruise_speed=200, grade_percent=90)))
        assert words(drawing(curve_of("cruise", idle_speed=2990, redline_speed=3010)))

    def test_pick_is_refused(self) -> None:
        with pytest.raises(InvalidBuild, match="pick"):
            CHARTS["svg"].write({}, OutputOptions(pick=("power_needed",)))

    def test_threads_draw_one_at_a_time_and_all_alike(self) -> None:
        made, drawn = curve_of("road-speed"), []
        chart._render.cache_clear()
        threads = [threading.Thread(target=lambda: drawn.append(drawn_as(made, "svg"))) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(drawn) == 4
        assert len(set(drawn)) == 1


class TestKept:
    def test_a_build_written_another_way_is_the_same_chart(self, client: FlaskClient) -> None:
        chart._render.cache_clear()
        first = client.get(f"/v1/road-speed.svg?{query('road-speed')}").data
        changed = query("road-speed", cruise_speed="65.0 mph", tyre="35X12.50R17LT 121Q")
        again = client.get(f"/v1/road-speed.svg?{changed}").data
        assert first == again
        assert (chart._render.cache_info().misses, chart._render.cache_info().hits) == (1, 1)

    def test_memory_is_bounded(self) -> None:
        assert chart._render.cache_info().maxsize == chart.KEPT


class TestOverHttp:
    @EACH_CHART
    @pytest.mark.parametrize("form", CHARTS)
    def test_suffix_accept_and_post_agree(self, client: FlaskClient, name: str, form: str) -> None:
        by_suffix = client.get(f"/v1/{name}.{form}?{query(name)}")
        assert by_suffix.status_code == 200
        assert by_suffix.mimetype == CHARTS[form].media_type
        assert by_suffix.headers["ETag"]
        by_accept = client.get(f"/v1/{name}?{query(name)}", headers={"Accept": CHARTS[form].media_type})
        assert by_accept.data == by_suffix.data
        assert by_accept.headers["Vary"] == "Accept"
        build = {key: value for key, value in TRUCK.items() if key in QUESTIONS[name].fields}
        assert client.post(f"/v1/{name}.{form}", json=build).data == by_suffix.data
        assert client.head(f"/v1/{name}.{form}?{query(name)}").mimetype == CHARTS[form].media_type

    def test_a_picture_element_gets_the_drawing(self, client: FlaskClient) -> None:
        accept = "image/avif,image/webp,image/apng,image/svg+xml,image/*,*/*;q=0.8"
        response = client.get(f"/v1/cruise?{query('cruise')}", headers={"Accept": accept})
        assert response.mimetype == "image/svg+xml"

    def test_a_drawing_opened_by_itself_can_do_nothing(self, client: FlaskClient) -> None:
        policy = client.get(f"/v1/cruise.svg?{query('cruise')}").headers["Content-Security-Policy"]
        assert policy == "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'"

    @pytest.mark.parametrize("name", NOT_DRAWN)
    @pytest.mark.parametrize("form", CHARTS)
    def test_other_questions_have_no_chart(self, client: FlaskClient, name: str, form: str) -> None:
        asked = demo_query(QUESTIONS[name])
        assert client.get(f"/v1/{name}.{form}?{asked}").status_code == 404
        refused = client.get(f"/v1/{name}?{asked}", headers={"Accept": CHARTS[form].media_type})
        assert refused.status_code == 406
        assert CHARTS[form].media_type not in refused.get_json()["detail"]

    @pytest.mark.parametrize("wrong", ["chart_size=9000x9000", "chart_size=800", "chart_theme=pink"])
    def test_only_listed_sizes_and_themes(self, client: FlaskClient, wrong: str) -> None:
        response = client.get(f"/v1/cruise.svg?{query('cruise')}&{wrong}")
        assert response.status_code == 422
        assert response.mimetype == "application/problem+json"

    def test_the_spec_lists_them_where_they_are(self, client: FlaskClient) -> None:
        spec = client.get("/openapi.json").get_json()
        content = spec["paths"]["/v1/{question}.{format}"]["get"]["responses"]["200"]["content"]
        assert {form.media_type for form in CHARTS.values()} <= content.keys()
        offered = {one["name"]: one["formats"] for one in client.get("/v1").get_json()["questions"]}
        assert {name for name, formats in offered.items() if {"svg", "png"} <= {*formats}} == {
            name for name, question in QUESTIONS.items() if question.draws
        }
