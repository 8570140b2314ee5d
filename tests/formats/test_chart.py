"""What the pictures of gears, power, speed and fuel show, against the answers they belong to."""

import math

import numpy as np
import pytest

from gearing_api.answer import Curve, Picture, SideView, Spans
from gearing_api.answer import Line as CurveLine
from gearing_api.build import Build
from gearing_api.formats.document import Document, document
from gearing_api.formats.drawing import Line
from gearing_api.formats.pictures import drawing_of
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK

MPH, RPM, HP = 0.44704, np.pi / 30.0, 745.6998715822702


def shown(name: str, build: Build) -> Picture:
    picture = ask(QUESTIONS[name], build).picture
    assert picture is not None
    return picture()


def curve_of(name: str, **changes: object) -> Curve:
    fields = {key: value for key, value in TRUCK.items() if key in QUESTIONS[name].fields}
    found = shown(name, read_build(fields | changes))
    assert isinstance(found, Curve)
    return found


def spans_of(**changes: object) -> Spans:
    fields: dict[str, object] = TRUCK | changes
    found = shown(
        "road-speed", read_build({name: value for name, value in fields.items() if value is not None})
    )
    assert isinstance(found, Spans)
    return found


def lines_of(curve: Curve, role: str) -> list[CurveLine]:
    return [line for line in curve.lines if line.role == role]


def asked(name: str, build: Build) -> Document:
    return document(QUESTIONS[name], build, ask(QUESTIONS[name], build))


class TestGears:
    def test_a_gear_ends_at_redline_or_at_the_speed_symbol(self) -> None:
        """Q is 160 km/h (UN R30); redline speeds are those of the table."""
        table = asked("road-speed", read_build(TRUCK))["table"]
        at = table["columns"].index("top_speed")
        redlines = {(row[0], row[1]): row[at] for row in table["rows"]}
        for span in spans_of().spans:
            if span.before:
                continue
            number = int(span.label.removeprefix("low ")[0])
            redline = redlines[(2.72 if span.label.startswith("low") else 1, number)] * MPH
            assert span.high == pytest.approx(min(redline, 160 / 3.6))

    def test_a_gear_ends_where_power_does(self) -> None:
        heavy = {"vehicle_mass": 12000, "drag_area": "40 ft2", "tyre": "35x12.50R17LT 121S"}
        spans = spans_of(**heavy)
        held = asked("cruise", read_build(TRUCK | heavy | {"grade_percent": 0}))["result"]
        assert spans.end is not None
        assert "power ends" in spans.end.label
        assert max(span.high for span in spans.spans if not span.before) == pytest.approx(
            held["top_speed_on_grade"] * MPH
        )

    def test_without_mass_only_redline_and_tyre_end_it(self) -> None:
        spans = spans_of(vehicle_mass=None, tyre="35 in", original_tyre=None, original_axle_ratio=None)
        assert spans.end is None
        assert not [span for span in spans.spans if span.before]

    def test_engine_speeds_at_cruise_are_read_off_now_and_before(self) -> None:
        """The engine turned slower by the ratio of axle ratios and of rolling radii, which go with the diameters.

        LT245/75R17 is 2 x 0.75 x 245 mm + 17 in tall, 35x12.50R17LT by its name 35 in; the factor of both is alike.
        """
        words = {span.label: span.words for span in spans_of().spans}
        assert words["6th"] == "2,460 rpm"
        shorter = (2 * 0.75 * 245 / 25.4 + 17) / 35
        before = 2460.5 * 3.73 / 4.56 / shorter
        assert float(words["6th before"].split()[0].replace(",", "")) == pytest.approx(before, rel=3e-3)
        assert words["low 1st"] == ""

    def test_near_the_peak_the_torque_is_nine_tenths_of_it(self) -> None:
        build = read_build(TRUCK | {"torque_curve": "1000:100,2000:200,4000:200,5000:100"})
        found = shown("road-speed", build)
        assert isinstance(found, Spans)
        (sixth,) = (span for span in found.spans if span.label == "5th")
        radius = float(build.tyre().rolling_radius)
        assert sixth.inner is not None
        turning = sixth.inner[0] / radius * 4.56 * 1.0 / RPM
        assert turning == pytest.approx(1800, abs=25)


class TestSideView:
    def test_the_shaft_lies_to_scale_now_and_before(self) -> None:
        """Without an offset to the side the joint angles of the answer are those between the lines drawn."""
        for position in ("front", "rear"):
            build = read_build(TRUCK | {"propshaft_side": 0, "axle_position": position})
            view, result = shown("driveline", build), asked("driveline", build)["result"]
            assert isinstance(view, SideView)
            made = drawing_of("driveline", view, "us", 620.0)
            shaft, output, pinion = (
                shape for shape in made.shapes if isinstance(shape, Line) and shape.kind != "before"
            )
            slopes = [
                math.degrees(math.atan((b[1] - a[1]) / (b[0] - a[0]))) for a, b in (
                    (shape.points[0], shape.points[-1]) for shape in (shaft, output, pinion))
            ]  # fmt: skip
            assert abs(slopes[0] - slopes[1]) == pytest.approx(result["output_joint_angle"])
            assert abs(slopes[0] - slopes[2]) == pytest.approx(result["pinion_joint_angle"])
            assert abs(slopes[0]) == pytest.approx(math.degrees(math.atan(10 / 36)))
            before = next(line for line in view.lines if line.role == "before")
            assert before.y[-1] / before.x[-1] == pytest.approx(
                view.lines[-3].y[-1] / view.lines[-3].x[-1] * 6 / 10
            )


class TestCurves:
    def test_gears_downhill_meet_the_hill_where_they_settle(self) -> None:
        curve, build = curve_of("descent"), read_build(TRUCK)
        table = asked("descent", build)["table"]
        at = table["columns"].index("settling_speed")
        (hill,) = lines_of(curve, "needed")
        assert hill.y == pytest.approx([0.14, 0.14])
        ordinals = ("1st", "2nd", "3rd", "4th", "5th", "6th")
        names = [f"{'low ' if row[0] > 1 else ''}{ordinals[int(row[1]) - 1]}" for row in table["rows"]]
        settles = dict(zip(names, (row[at] for row in table["rows"]), strict=True))
        met = 0
        for line in lines_of(curve, "gear"):
            if line.y[0] < 0.14 < line.y[-1]:
                met += 1
                settled = np.interp(0.14, line.y, line.x) / MPH
                assert settled == pytest.approx(settles[line.label], rel=2e-3)
        assert met > 1

    def test_the_mark_is_the_result(self) -> None:
        (mark,) = lines_of(curve_of("cruise"), "mark")
        power = asked("cruise", read_build(TRUCK))["result"]["power_needed"]
        assert mark.x == pytest.approx([65 * MPH])
        assert mark.y == pytest.approx([power * HP])

    def test_power_needed_meets_power_available_at_the_top_speed_on_the_grade(self) -> None:
        build = read_build(
            TRUCK | {"grade_percent": 3, "cruise_reserve_percent": 0, "driveline_efficiency": 0.9}
        )
        curve, top = shown("cruise", build), asked("cruise", build)["result"]["top_speed_on_grade"] * MPH
        assert isinstance(curve, Curve)
        (needed,) = lines_of(curve, "needed")
        best = max(np.interp(top, line.x, line.y, left=0.0, right=0.0) for line in lines_of(curve, "gear"))
        assert best == pytest.approx(np.interp(top, needed.x, needed.y), rel=2e-3)

    def test_the_band_of_need_is_that_of_like_trucks_and_gone_where_it_is_measured(self) -> None:
        """At no grade and no loss power goes with the road load: 25.5 % less to 23.8 % more (EPA's rows)."""
        curve = curve_of("cruise", driveline_efficiency=1)
        (band,), (needed,) = lines_of(curve, "band"), lines_of(curve, "needed")
        half = len(band.x) // 2
        assert band.y[:half] == pytest.approx(0.745 * needed.y, rel=1e-6)
        assert band.y[half] == pytest.approx(min(1.238 * needed.y[-1], band.y.max()))
        assert not lines_of(curve_of("cruise", drag_area="13 ft2"), "band")

    def test_axes_end_where_the_vehicle_can_go(self) -> None:
        """cruise at 1.06 times the top speed or 1.2 times cruise_speed, whichever is more; redline would be 146 mph."""
        for speed in (65, 130):
            build = read_build(TRUCK | {"cruise_speed": speed})
            curve, top = shown("cruise", build), asked("cruise", build)["result"]["top_speed_on_grade"]
            assert isinstance(curve, Curve)
            farthest = max(float(line.x.max()) for line in curve.lines) / MPH
            assert farthest <= max(1.06 * top, 1.2 * speed) + 1e-6
        speeds = [line.x.max() for line in curve_of("acceleration").lines]
        assert max(speeds) < 60.0

    def test_without_an_engine_only_the_need_is_drawn(self) -> None:
        fields = ("tyre", "axle_ratio", "gear_ratios", "vehicle_mass")
        found = shown("cruise", read_build({name: TRUCK[name] for name in fields}))
        assert isinstance(found, Curve)
        assert [line.role for line in found.lines if line.role != "limit"] == ["band", "needed", "mark"]
