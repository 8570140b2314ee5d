"""Pictures of ranges, what they turn on, and a shortlist: drawn where the numbers are, words clear of all else."""

import re
import xml.etree.ElementTree as ET

import pytest
from flask.testing import FlaskClient

from gearing_api.formats.document import document
from gearing_api.formats.drawing import Bar, Dot, Drawing, Line, Text, as_page_part
from gearing_api.formats.pictures import drawing_of, drawings
from gearing_api.formats.ranges_drawn import (
    Interval,
    Swing,
    dots_drawing,
    intervals_drawing,
    shares_drawing,
    tornado_drawing,
)
from gearing_api.formats.shortlist_drawn import (
    Against,
    Choice,
    front_drawing,
    shortlist_drawings,
    targets_drawing,
)
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK
from tests.formats.test_pictures import clashes

WIDTHS = pytest.mark.parametrize("width", [620.0, 340.0])
ROWS = [
    Interval("4.10 on 35s", 62, 58, 66),
    Interval("4.56 on 35s", 60.5, 57, 64),
    Interval("any", 60, 55, None),
]
SWINGS = [Swing("mass", 40, 42.1, "4,900 lb", "5,600 lb"), Swing("rolling", 36, 48, "0.010", "0.018")]
CHOICES = [
    Choice("33s, 4.10, as it is", 0, 0.8, kept=True),
    Choice("33s, 4.56, donor A", 900, 1.1, kept=True),
    Choice("35s, 4.88, donor B", 2400, 1.5, kept=True),
    Choice("35s, 4.30", 700, 0.7, kept=False),
    *(Choice(f"close {place}", 905.0 + place, 1.1 + 0.001 * place, kept=True) for place in range(6)),
]
AGAINST = [("35s, 4.10", [Against("crawl ratio", 49.7, 50, None), Against("engine speed", 2600, 2000, 2500)])]


def texts(made: Drawing) -> list[str]:
    return [shape.text for shape in made.shapes if isinstance(shape, Text)]


def bars(made: Drawing) -> list[Bar]:
    return [shape for shape in made.shapes if isinstance(shape, Bar)]


@WIDTHS
def test_words_stand_clear_of_all_else(width: float) -> None:
    for made in (
        intervals_drawing("r", "t", ROWS, "mph", width, least=61),
        dots_drawing("d", "t", [55 + 0.3 * place for place in range(40)], "mph", width, least=60, without=2),
        tornado_drawing("t", "t", 41.2, SWINGS, "hp", width),
        shares_drawing("s", "t", [("rolling", 0.6), ("drag", 0.4)], width),
        front_drawing("f", "t", CHOICES, "price", "weakest margin", width),
        targets_drawing("x", "t", AGAINST, width),
    ):
        assert clashes(made) == [], made.name
        assert ET.fromstring(as_page_part(made)).get("role") == "img"


def test_a_range_is_as_long_as_it_is_and_its_mark_stands_in_it() -> None:
    made = intervals_drawing("r", "t", [Interval("a", 60, 55, 65), Interval("b", 62.5, 60, 70)], "mph", 400.0)
    a, b = bars(made)
    assert a.width == pytest.approx(b.width)
    assert b.x == pytest.approx(a.x + a.width / 2)
    marks = [shape.points[0][0] for shape in made.shapes if isinstance(shape, Line) and shape.kind == "first"]
    assert marks == [pytest.approx(a.x + a.width / 2), pytest.approx(b.x + b.width / 4)]
    assert "60 (55 to 65) mph" in texts(made)


def test_dots_are_counted_and_stand_on_their_side_of_the_limit() -> None:
    values = [50.0 + place for place in range(40)]
    made = dots_drawing("d", "t", values, "mph", 900.0, least=70.0)
    assert "20 of 40 at 70 or more" in texts(made)
    limit = next(shape for shape in made.shapes if isinstance(shape, Line) and shape.kind == "end").points[0][
        0
    ]
    dots = [shape for shape in made.shapes if isinstance(shape, Dot)]
    assert len(dots) == 40
    assert abs(sum(dot.x < limit for dot in dots) - 20) <= 2, "dots stand in columns"
    with pytest.raises(ValueError, match="50"):
        dots_drawing("d", "t", [1.0] * 51, "", 300.0)


def test_the_input_that_moves_it_most_stands_on_top() -> None:
    """x1 x2 / x3 with 10 +-1, 5 +-0.25, 2 +-0.3: base 25, by hand."""
    swings = [
        Swing("x2", 10 * 4.75 / 2, 10 * 5.25 / 2, "4.75", "5.25"),
        Swing("x1", 9 * 5 / 2, 11 * 5 / 2, "9", "11"),
        Swing("x3", 50 / 1.7, 50 / 2.3, "1.7", "2.3"),
    ]
    made = tornado_drawing("t", "t", 25.0, swings, "", 400.0)
    names = [text.partition(":")[0] for text in texts(made) if re.match(r"x\d:", text)]
    assert names == ["x3", "x1", "x2"]
    low, high = bars(made)[2:4]
    assert low.x + low.width == pytest.approx(high.x)
    assert low.width == pytest.approx(high.width), "22.5 and 27.5 lie alike around 25"


def test_names_without_room_are_numbered() -> None:
    made = front_drawing("f", "t", CHOICES, "price", "margin", 340.0)
    said = texts(made)
    for choice in CHOICES:
        found = [text for text in said if text == choice.name or text.endswith(f": {choice.name}")]
        assert len(found) == (1 if choice.kept else 0)


def test_a_missed_target_is_told_by_a_sign_too() -> None:
    said = texts(targets_drawing("x", "t", AGAINST, 340.0))
    assert "49.7 \N{DOWNWARDS ARROW}" in said
    assert "2600 \N{UPWARDS ARROW}" in said


@pytest.mark.parametrize("name", ["cruise", "road-speed", "descent"])
def test_with_bands_a_picture_shows_the_main_result_or_the_one_picked(client: FlaskClient, name: str) -> None:
    asked = f"{demo_query(QUESTIONS[name])}&bands=1"
    first = client.get(f"/v1/{name}.svg?{asked}")
    assert first.status_code == 200
    assert client.get(f"/v1/{name}.svg?{asked}").data == first.data
    title = ET.fromstring(first.data).findtext("{http://www.w3.org/2000/svg}title") or ""
    assert title.startswith(QUESTIONS[name].main.replace("_", " ").capitalize())


def test_the_ends_of_the_title_are_those_of_the_range(client: FlaskClient) -> None:
    asked = f"{demo_query(QUESTIONS['cruise'])}&bands=1&pick=power_needed"
    low, high = client.get(f"/v1/cruise?{asked}").get_json()["ranges"]["power_needed"]
    svg = client.get(f"/v1/cruise.svg?{asked}").get_data(as_text=True)
    found = re.search(r"builds like this one, (\d+) to (\d+) hp", svg)
    assert found is not None
    assert [float(end) for end in found.groups()] == pytest.approx([low, high], rel=0.04)


def test_a_tornado_is_a_picture_of_the_number_it_names(client: FlaskClient) -> None:
    asked = f"{demo_query(QUESTIONS['cruise'])}&tornado=power_needed"
    table = client.get(f"/v1/cruise?{asked}").get_json()["tornado"]
    svg = ET.fromstring(client.get(f"/v1/cruise.svg?{asked}").data)
    said = ["".join(text.itertext()) for text in svg.iter("{http://www.w3.org/2000/svg}text")]
    assert said[0] == "Power needed: what each input alone does to it"
    rows = [f"{field.replace('_', ' ')}: {low} to {high}" for field, low, high, _, _ in table["rows"]]
    assert [text for text in said if text in rows] == rows
    assert client.get(f"/v1/cruise.svg?{demo_query(QUESTIONS['cruise'])}&tornado=nothing").status_code == 422


@WIDTHS
def test_the_ruler_has_soft_edges_with_bands(width: float) -> None:
    question = QUESTIONS["regear"]
    build = read_build(
        dict(question.example) | {"ring_gear_diameter": 8.5, "original_ring_gear_diameter": 8.5}
    )
    made = document(question, build, ask(question, build), drawn=True, bands=True)
    drawing = drawing_of("regear", made["picture"], "us", width)
    assert clashes(drawing) == []
    assert "met by 1 to 19 in 20 builds like this one" in texts(drawing)
    assert len([bar for bar in bars(drawing) if bar.kind == "lighter"]) > 2


def test_a_shortlist_is_drawn_over_its_aims_and_against_its_targets(client: FlaskClient) -> None:
    among = {
        "tyre": ["33x12.50R17LT", "35x12.50R17LT"],
        "gears": [
            {"name": "as it is", "price": 0, "axle_ratio": 3.73},
            {"name": "4.56", "price": 1400, "axle_ratio": 4.56},
            {"name": "5.13", "price": 1500, "axle_ratio": 5.13},
        ],
    }
    plan = {
        "build": {"gear_ratios": TRUCK["gear_ratios"], "transfer_ratios": TRUCK["transfer_ratios"]},
        "among": among, "sums": ["price"], "targets": {"crawl_ratio": {"least": 40}},
        "aims": {"price": "low", "crawl_speed": "low"},
    }  # fmt: skip
    answer = client.post("/v1/shortlist", json=plan).get_json()
    for width in (620.0, 340.0):
        front, targets = shortlist_drawings(answer, width)
        assert clashes(front) == clashes(targets) == []
        kept = [shape for shape in front.shapes if isinstance(shape, Dot) and shape.kind == "handle"]
        assert len(kept) == answer["unbeaten"] > 1
        for row in answer["rows"]:
            assert any(row["label"] in text for text in texts(front))
            assert row["label"] in texts(targets)
    fewer = client.post(
        "/v1/shortlist",
        json={name: plan[name] for name in plan if name != "targets"} | {"aims": {"price": "low"}},
    ).get_json()
    assert list(shortlist_drawings(fewer, 340.0)) == []


def test_long_names_and_figures_below_zero_stay_on_the_paper() -> None:
    made = targets_drawing(
        "x", "t", [("W" * 200, [Against("W" * 60, -40.0, -50.0, None, 3, (-60.0, -30.0))])], 340.0
    )
    solid, soft = bars(made)
    limit = next(shape.points[0][0] for shape in made.shapes if isinstance(shape, Line))
    assert soft.x < limit < solid.x == pytest.approx(soft.x + soft.width)
    assert soft.width == pytest.approx(solid.width), "from -60 to -30, and from there to 0"
    front = front_drawing(
        "f", "t", [Choice("W" * 200, 1, 2, kept=True), Choice("b", 2, 1, kept=True)], "W" * 90, "u", 340.0
    )
    for drawing in (made, front):
        assert clashes(drawing) == []
        for shape in drawing.shapes:
            if isinstance(shape, Text):
                assert shape.box.left >= 0.0
                assert shape.box.right <= drawing.width


@WIDTHS
def test_the_bars_of_parts_have_soft_ends_with_bands(width: float) -> None:
    """Of an axle of which one part is known the ends are those of its weakest margin; all else takes its plain end."""
    question = QUESTIONS["axle-check"]
    only = ("tyre", "axle_ratio", "gear_ratios", "transfer_ratios", "peak_torque", "vehicle_mass", "tube_diameter",
            "tube_wall", "spring_seat_spacing", "mounting_width", "wheel_offset")  # fmt: skip
    build = read_build({name: TRUCK[name] for name in only})
    made = document(question, build, ask(question, build), drawn=True, bands=True)
    (part,) = made["picture"].parts
    assert list(part.ends) == pytest.approx(made["ranges"]["weakest_margin"])
    drawing = drawing_of("axle-check", made["picture"], "us", width)
    assert clashes(drawing) == []
    solid, soft, *_ = bars(drawing)
    assert soft.x == pytest.approx(solid.x + solid.width)
    scale = solid.width / min(part.margin, part.ends[0])
    assert soft.width == pytest.approx(scale * part.ends[1] - solid.width)


def test_a_page_may_ask_for_soft_edges() -> None:
    sheet = QUESTIONS["build-sheet"]
    build = read_build(TRUCK)
    answer = ask(sheet, build)
    soft, plain = (
        {one.name: one for one in drawings(sheet, build, answer, None, bands=bands)}
        for bands in (True, False)
    )
    changed = {name for name in plain if soft[name] != plain[name]}
    assert changed == {"regear", "axle-check"}
