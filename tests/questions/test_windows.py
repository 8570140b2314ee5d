"""Windows of axle ratio: edges are where the target changes, in one piece, in two, or nowhere."""

import numpy as np
import pytest

from gearing_api import units
from gearing_api.answer import Ruler, Window
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.ranges.outcomes import outcomes
from gearing_api.ranges.windows import softened
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vehicle.targets import Target
from gearing_api.vehicle.windows import ends_of, overlap, windows_of


def made_up(axle_ratio: np.ndarray) -> tuple[Target, ...]:
    least = np.float64(0.3)
    return (
        Target("in two pieces", units.NUMBER, 1, np.abs(axle_ratio - 4.0), least),  # type: ignore[arg-type]
        Target("nowhere", units.NUMBER, 1, axle_ratio * 0.0, least),  # type: ignore[arg-type]
        Target("unknown below 4", units.NUMBER, 1, np.where(axle_ratio < 4.0, np.nan, 1.0), least),  # type: ignore[arg-type]
    )


def test_two_pieces_nowhere_and_unknown_are_told_truly() -> None:
    two, nowhere, unknown = windows_of(made_up, [True, False, True], (3.0, 5.0), [])
    assert two.met == (pytest.approx((3.0, 3.7), rel=1e-7), pytest.approx((4.3, 5.0), rel=1e-7))
    assert nowhere.met == ()
    assert unknown.met == (pytest.approx((4.0, 5.0), rel=1e-7),)
    assert overlap([two, nowhere, unknown], (3.0, 5.0)) == (pytest.approx((4.3, 5.0), rel=1e-7),)
    assert overlap([nowhere], (3.0, 5.0)) == ()


def test_a_window_narrower_than_a_step_is_found_where_its_edge_is_known() -> None:
    def narrow(axle_ratio: np.ndarray) -> tuple[Target, ...]:
        bounds = np.float64(4.00001), np.float64(4.00002)
        return (Target("narrow", units.NUMBER, 1, axle_ratio, *bounds),)  # type: ignore[arg-type]

    (found,) = windows_of(narrow, [True], (3.0, 5.0), [4.00001])
    assert found.met == (pytest.approx((4.00001, 4.00002), rel=1e-7),)


def test_ends_have_room() -> None:
    """Four percent beyond the ratios known, and two fifths between the ends where these lie close together."""
    low, high = ends_of([4.0, None, float("nan")])
    assert low < 3.6 < 4.4 < high
    assert high / low == pytest.approx(1.4)
    assert ends_of([3.0, 5.0, 4.0]) == pytest.approx((3.0 / 1.04, 5.0 * 1.04))


def test_windows_that_touch_have_one_ratio_in_common() -> None:
    def between(low: float, high: float) -> Window:
        return Window("", units.NUMBER, low, high, True, ((low, high),))

    assert overlap([between(3.0, 4.0), between(4.0, 5.0)], (3.0, 5.0)) == ((4.0, 4.0),)
    assert overlap([between(3.0, 3.9), between(4.0, 5.0)], (3.0, 5.0)) == ()


@pytest.mark.parametrize(
    ("target", "marked"),
    [({}, []), ({"target_crawl_ratio": 42}, [4.3, 5.0])],
    ids=["nothing judged", "one target"],
)
def test_the_ratios_that_meet_all_that_is_judged_are_marked(
    target: dict[str, object], marked: list[float]
) -> None:
    """Crawl ratios of 35, 41, 43 and 50."""
    fields = {"tyre": "35 in", "gear_ratios": "4,2,1", "transfer_ratios": "1,2.5",
              "available_ratios": "3.5,41/10,4.3,45/9"}  # fmt: skip
    windows = ask(QUESTIONS["regear"], read_build(fields | target)).windows
    assert windows is not None
    ruler = windows()
    assert isinstance(ruler, Ruler)
    assert [pair.ratio for pair in ruler.pairs if pair.meets_all] == marked


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"target_overtaking_time": 4.7, "target_fuel_change_percent": 1},
        {"vehicle_mass": 9500, "peak_torque": "190 lb-ft", "peak_power": "150 hp"},
    ],
)
def test_each_edge_parts_ratios_that_meet_the_target_from_those_that_do_not(more: dict[str, object]) -> None:
    """Asked again with each side of the edge as the only ratios that there are."""
    question = QUESTIONS["regear"]
    fields = {name: TRUCK[name] for name in TRUCK if name in question.fields} | {
        "target_crawl_ratio": 50,
        **more,
    }
    windows = ask(question, read_build(fields)).windows
    assert windows is not None
    ruler = windows()
    assert isinstance(ruler, Ruler)
    tried = 0
    for place, window in enumerate(ruler.windows):
        for edge in (edge for stretch in window.met for edge in stretch if edge not in ruler.searched):
            sides = [edge * (1.0 - 1e-6), edge * (1.0 + 1e-6)]
            again = ask(question, read_build(fields | {"available_ratios": sides})).windows
            assert again is not None
            held = again().windows[place].met
            met = [any(low <= side <= high for low, high in held) for side in sides]
            table = ask(question, read_build(fields | {"available_ratios": sides})).table
            assert table is not None
            columns = {column.name: list(column.values) for column in table()}
            reasons = dict(zip(map(float, columns["axle_ratio"]), columns["reason"], strict=True))
            said = [f"{window.name} " in reasons[side].partition("isses")[0] for side in sides]
            assert said == met
            assert sorted(said) == [False, True], (window.name, edge)
            tried += 1
    assert tried >= 3


class TestSoftEdges:
    def ruler(self, **more: object) -> tuple[Ruler, Ruler]:
        question = QUESTIONS["regear"]
        fields = {name: TRUCK[name] for name in TRUCK if name in question.fields} | {"target_crawl_ratio": 50}
        build = read_build(fields | more)
        windows = ask(question, build).windows
        assert windows is not None
        plain = windows()
        return plain, softened(plain, build)

    def test_what_is_exact_keeps_its_edges_and_what_varies_has_soft_ones(self) -> None:
        plain, soft = self.ruler()
        named = {window.name: window for window in soft.windows}
        crawl, turning = named["crawl ratio"], named["engine speed"]
        assert crawl.sure == crawl.possible == crawl.met
        assert turning.sure is not None
        assert turning.possible is not None
        (sure,), (possible,), (met,) = turning.sure, turning.possible, turning.met
        assert possible[0] < sure[0] < sure[1] < possible[1]
        assert possible[0] <= met[0] <= met[1] <= possible[1] * 1.001
        assert [window.met for window in soft.windows] == [window.met for window in plain.windows]

    def test_soft_edges_are_shares_of_the_draws(self) -> None:
        """The engine speed of a share of draws lies in the range at the edges, counted from the answer's own draws."""
        _, soft = self.ruler(cruise_engine_speed_range=[2000, 2400])
        turning = next(window for window in soft.windows if window.name == "engine speed")
        assert turning.sure is not None
        question = QUESTIONS["road-speed"]
        fields = {name: TRUCK[name] for name in TRUCK if name in question.fields}
        for edge, share in ((turning.sure[0][0], 0.95), (turning.sure[0][1], 0.95)):
            column = outcomes(question, read_build(fields | {"axle_ratio": edge})).results[
                "cruise_engine_speed"
            ]
            rpm = column / (np.pi / 30)
            assert np.count_nonzero((rpm >= 2000) & (rpm <= 2400)) / 512 == pytest.approx(share, abs=0.02)

    def test_targets_that_take_long_and_refused_draws_keep_plain_edges(self) -> None:
        _, soft = self.ruler(target_overtaking_time=6)
        slow = next(window for window in soft.windows if window.name == "overtaking time")
        assert slow.sure is None
        assert slow.possible is None
