"""Shortlists: which rows nothing beats, in which order the others come, and the way to the cheapest."""

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from itertools import permutations, product
from typing import Any, ClassVar

import numpy as np
import pytest
from numpy.typing import NDArray

from gearing_api.batch import shortlists
from gearing_api.batch.fronts import unbeaten
from gearing_api.batch.shortlist_answers import shortlist_document
from gearing_api.batch.shortlist_bands import Drawn, drawn_rows
from gearing_api.batch.shortlist_plans import read_shortlist
from gearing_api.batch.shortlists import Found, Ranking, evaluate, joined, ranking
from gearing_api.mechanics.domain import Array
from gearing_api.questions import OWNERS, ask, read_build
from gearing_api.ranges.outcomes import outcomes
from gearing_api.vocabulary import InvalidBuild

BUILD: dict[str, Any] = {
    "original_tyre": "LT245/75R17",
    "original_axle_ratio": 3.73,
    "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
    "vehicle_mass": 5300,
    "peak_torque": 260,
    "peak_torque_speed": 3200,
    "peak_power": 215,
    "peak_power_speed": 5000,
    "ring_gear_diameter": 7.125,
}
AMONG: dict[str, Any] = {
    "tyre": ["LT245/75R17", "33x12.50R17LT", "35x12.50R17LT"],
    "gears": [
        {"name": "3.73", "price": 0, "axle_ratio": 3.73},
        {"name": "4.10", "price": 1300, "axle_ratio": 4.1},
        {"name": "4.56", "price": 1400, "axle_ratio": 4.56},
    ],
    "axle": [
        {"name": "as it is", "price": 0, "hours": 0},
        {"name": "donor", "price": 900, "hours": 20, "ring_gear_diameter": 8.5},
    ],
    "low range": [
        {"name": "2.72", "transfer_ratios": [1, 2.72]},
        {"name": "4.0", "price": 1800, "hours": 8, "transfer_ratios": [1, 4.0]},
    ],
}
PLAN: dict[str, Any] = {
    "build": BUILD,
    "among": AMONG,
    "sums": ["price", "hours"],
    "targets": {
        "crawl_ratio": {"least": 50},
        "engine_speed_change_percent": {"least": -5, "most": 12},
        "weakest_margin": {"least": 0.5},
    },
    "aims": {"price": "low", "weakest_margin": "high"},
}
DEB = {
    "1": (0.31, 6.10), "2": (0.43, 6.79), "3": (0.22, 7.09), "4": (0.59, 7.85), "5": (0.66, 3.65),
    "6": (0.83, 4.23), "a": (0.21, 5.90), "b": (0.79, 3.97), "c": (0.51, 6.51), "d": (0.27, 6.93),
    "e": (0.58, 4.52), "f": (0.24, 8.54),
}  # fmt: skip
"""Deb, Multi-Objective Optimization Using Evolutionary Algorithms (2001): from memory, and second hand."""


def criteria(points: Sequence[Sequence[float]]) -> list[Array]:
    return list(np.array(points, dtype=float).T)


def shortlisted(**changes: Any) -> dict[str, Any]:
    return shortlist_document(ranked(**changes))


def ranked(**changes: Any) -> Ranking:
    plan = read_shortlist({**PLAN, **changes})
    return ranking(plan, 0, plan.count)


def computed(**changes: Any) -> tuple[Found, dict[str, float]]:
    plan = read_shortlist({**PLAN, **changes})
    found = evaluate(plan, np.arange(plan.count))
    return found, found.spreads()


class TestFronts:
    def test_fronts_of_a_textbook(self) -> None:
        left, fronts = dict(DEB), []
        while left:
            best = unbeaten(criteria(list(left.values())), len(left))
            fronts.append({name for name, one in zip(left, best, strict=True) if one})
            left = {name: point for name, point in left.items() if name not in fronts[-1]}
        assert fronts == [set("5ae"), set("13bd"), set("26cf"), set("4")]

    def test_equal_rows_do_not_beat_each_other(self) -> None:
        points = [(1, 3), (2, 2), (2, 2), (3, 1), (4, 4)]
        assert unbeaten(criteria(points), 5).tolist() == [True, True, True, True, False]

    def test_infinite_figures_are_beyond_all_others(self) -> None:
        points = [(1.0, -np.inf), (2.0, np.inf), (np.inf, -np.inf), (-np.inf, np.inf), (1.0, 5.0)]
        assert unbeaten(criteria(points), 5).tolist() == [True, False, False, True, False]

    def test_without_criteria_nothing_is_beaten(self) -> None:
        assert unbeaten([], 3).tolist() == [True] * 3
        assert unbeaten([np.zeros(0)], 0).size == 0

    @pytest.mark.parametrize("aims", [2, 3, 4])
    def test_random_rows_with_ties(self, aims: int) -> None:
        points = np.random.default_rng(aims).integers(0, 9, (150, aims)).astype(float)
        assert unbeaten(criteria(points), 150).tolist() == by_definition(points).tolist()

    @pytest.mark.slow
    def test_against_another_program(self) -> None:
        """moocore, of the authors of a widely used set of performance measures, on 200 sets."""
        moocore = pytest.importorskip("moocore")
        random = np.random.default_rng(7)
        for number in range(200):
            aims, rows = 2 + number % 3, int(random.integers(1, 3_000))
            points = random.integers(0, int(random.integers(2, 60)), (rows, aims)).astype(float)
            if number % 5 == 0:
                points = random.normal(size=(rows, aims))
            expected = moocore.is_nondominated(points, keep_weakly=True)
            assert np.array_equal(unbeaten(criteria(points), rows), expected)


def by_definition(points: Array) -> NDArray[np.bool_]:
    at_least = (points[:, None] <= points[None]).all(axis=2)
    better = (points[:, None] < points[None]).any(axis=2)
    return np.asarray(~(at_least & better).any(axis=0))


class TestFigures:
    def test_every_combination_is_as_if_asked_alone(self) -> None:
        found, _ = computed()
        assert found.rows.size == 36
        for place in (0, 7, 22, 35):
            raw = dict(BUILD)
            for key, chosen in found.plan.chosen(place):
                choice = AMONG[key.name][chosen]
                raw |= choice if isinstance(choice, dict) else {key.name: choice}
            build = read_build(
                {name: value for name, value in raw.items() if name not in ("name", "price", "hours")}
            )
            for name in found.plan.results:
                alone = ask(OWNERS[name], build).result[name]
                assert found.figures[name][place] == alone

    def test_sums_add_up_and_lack_nothing(self) -> None:
        found, _ = computed()
        assert found.figures["price"][-1] == 1400 + 900 + 1800
        assert found.figures["hours"][-1] == 28
        assert found.figures["hours"][0] == 0

    def test_a_question_is_asked_once_for_what_it_reads(self) -> None:
        found, _ = computed()
        assert {part.question.name: part.rows.count for part in found.parts} == {
            "crawl": 18, "final-drive": 18, "axle-check": 36,
        }  # fmt: skip

    def test_originals_of_the_build_count(self) -> None:
        heavier = {**BUILD, "original": {"ring_gear_diameter": 8.0}}
        targets = {"strength_change_percent": {"least": 0}}
        found = [
            computed(build=build, targets=targets, aims={"price": "low"})[0] for build in (BUILD, heavier)
        ]
        one, other = (each.figures["strength_change_percent"] for each in found)
        assert (one != other).all()


class TestOrder:
    def test_only_what_nothing_beats_is_listed_by_the_first_aim(self) -> None:
        made = shortlisted(show=100)
        assert made["meeting"] == made["beaten"] + len(made["rows"])
        prices = [row["sums"]["price"] for row in made["rows"]]
        margins = [row["results"]["weakest_margin"] for row in made["rows"]]
        assert prices == sorted(prices)
        assert margins == sorted(margins)
        assert {row["meets"] for row in made["rows"]} == {"all"}
        assert made["rows"][0]["gives_up"].startswith("Best in price; ")
        assert made["rows"][0]["choices"] == made["cheapest"]["choices"]

    def test_where_none_meets_all_the_nearest_comes_first(self) -> None:
        changes = {"targets": {**PLAN["targets"], "crawl_ratio": {"least": 500}}, "show": 100}
        found, spreads = computed(**changes)
        order = ranked(**changes)
        short = found.shortfalls(spreads)[:, order.rows]
        keys = list(zip((short > 0).sum(axis=0), short.max(axis=0), short.sum(axis=0), strict=True))
        assert keys == sorted(keys)
        assert (order.meeting, order.cheapest.size) == (0, 0)
        made = shortlist_document(order)
        assert made["steps"] == []
        miss = made["rows"][0]["misses"][0]
        assert miss["by"] == pytest.approx(500 - made["rows"][0]["results"]["crawl_ratio"])
        assert miss["share"] == pytest.approx(miss["by"] / 500)
        assert "None of 36" in made["summary"]

    def test_a_bound_of_zero_is_missed_in_parts_of_the_spread(self) -> None:
        found, spreads = computed(targets={"engine_speed_change_percent": {"most": 0}})
        change = found.figures["engine_speed_change_percent"]
        worst = found.shortfalls(spreads)[0].max()
        assert worst == pytest.approx(change.max() / (change.max() - change.min()))

    def test_no_limit_meets_a_least_and_what_is_not_known_stands_last(self) -> None:
        among = {
            **AMONG,
            "axle": [
                {"name": "ring gear only", "ring_gear_diameter": 7.125},
                {"name": "nothing known", "price": 10, "hours": 1},
            ],
        }
        build = {name: value for name, value in BUILD.items() if name != "ring_gear_diameter"}
        made = shortlisted(build=build, among=among, targets={"weakest_margin": {"least": 0.1}}, show=100)
        words = [row["meets"] for row in made["rows"]]
        assert made["unjudged"] == words.count(None) == 18
        assert words == sorted(words, key=lambda word: word is None)
        last = made["rows"][-1]
        assert last["absent"]["weakest_margin"]["why"] == "needs"
        assert last["verdict"] in ("unknown", "stop")
        assert last["gives_up"].startswith("Not judged: weakest margin needs ring gear diameter")

    def test_infinite_figures(self) -> None:
        found, _ = computed(targets={"weakest_margin": {"least": 1.0}})
        found.figures["weakest_margin"][:] = [np.inf, -np.inf, *[np.nan] * 34]
        assert found.met()[0].tolist() == [True, False, *[False] * 34]
        assert found.shortfalls(found.spreads())[0, :3].tolist() == [0.0, np.inf, np.inf]

    def test_without_aims_low_sums_are_preferred(self) -> None:
        plan = {name: value for name, value in PLAN.items() if name != "aims"}
        assert read_shortlist(plan).aims == {"price": "low", "hours": "low"}

    def test_a_refused_value_costs_only_its_rows(self) -> None:
        among = {**AMONG, "tyre": ["35", "35x12.50R17LT"]}
        found, _ = computed(among=among)
        assert found.refused.sum() == 12
        ((fault, count, first),) = found.faults().values()
        assert (fault.pointer, count, first) == ("/among/tyre/0", 12, 0)

    @pytest.mark.parametrize("least", [50, 500])
    def test_blocks_joined_are_the_whole(self, least: int) -> None:
        changes = {"targets": {**PLAN["targets"], "crawl_ratio": {"least": least}}, "show": 7}
        among = {**AMONG, "tyre": ["35", *AMONG["tyre"]]}
        whole = ranked(**changes, among=among)
        plan = whole.plan
        parts = [
            ranking(plan, start, min(start + 5, plan.count), None, whole.spreads)
            for start in range(0, plan.count, 5)
        ]
        assert shortlist_document(reduce(joined, parts)) == shortlist_document(whole)
        assert reduce(joined, parts).faults == whole.faults

    def test_a_refused_value_that_no_question_reads_is_told_too(self) -> None:
        changes = {
            "among": {"axle_ratio": [4.1], "part": [{"name": "a"}, {"name": "b", "road_load": 1400}]},
            "build": {**BUILD, "tyre": "33 in", "ring_teeth": 40, "pinion_teeth": 9},
            "targets": {"steepest_grade_percent": {"least": 1}},
            "aims": {"price": "low"},
        }
        with_contradiction = read_shortlist({**PLAN, **changes})
        assert ranking(with_contradiction, 0, 2).refused == 2
        plan = read_shortlist({**PLAN, **changes, "build": {**BUILD, "tyre": "33 in"}})
        order = ranking(plan, 0, plan.count)
        assert (order.refused, order.meeting) == (1, 1)
        ((fault, count, first),) = order.faults.values()
        assert (fault.pointer, count, first) == ("/among/part/1/road_load", 1, 1)
        assert shortlist_document(order, bands=True)["rows"][0]["meets_share"] == 1


class TestSteps:
    def test_they_lead_from_the_first_choices_to_the_cheapest(self) -> None:
        made = shortlisted()
        steps = made["steps"]
        assert [step["from"] for step in steps] != []
        choices = {"tyre": "LT245/75R17", "gears": "3.73", "axle": "as it is", "low range": "2.72"}
        for step in steps:
            assert choices[step["key"]] == step["from"]
            choices[step["key"]] = step["to"]
        assert choices == made["cheapest"]["choices"]
        assert sum(step["sums"]["price"] for step in steps) == made["cheapest"]["sums"]["price"]
        assert steps[-1]["meets"] == "all"
        assert steps[-1]["largest_shortfall"] == 0

    def test_the_first_choices_may_be_the_cheapest(self) -> None:
        made = shortlisted(targets={"weakest_margin": {"least": 0.01}})
        assert made["cheapest"]["sums"]["price"] == 0
        assert made["steps"] == []

    def test_random_ways_against_every_order(self) -> None:
        """The definition itself: of all orders the least sum, then the cheapest first."""
        random = np.random.default_rng(3)
        for _ in range(100):
            changes = int(random.integers(1, 6))
            largest = np.round(random.uniform(0.0, 1.0, 1 << changes), int(random.integers(0, 3)))
            prices = random.integers(0, 4, changes).astype(float).tolist()
            expected = min(
                (round(total(order, largest), 9), [prices[change] for change in order])
                for order in permutations(range(changes))
            )
            found = [change for change, _ in shortlists._order(largest, prices)]
            assert sorted(found) == list(range(changes))
            assert (round(total(found, largest), 9), [prices[change] for change in found]) == expected

    def test_steps_of_random_plans_against_every_order(self) -> None:
        """The same with figures: every order of single changes, each combination on the way looked up."""
        random = np.random.default_rng(11)
        for _ in range(100):
            plan = read_shortlist(random_plan(random))
            whole = ranking(plan, 0, plan.count)
            found = evaluate(plan, np.arange(plan.count))
            largest = found.shortfalls(whole.spreads).max(axis=0)
            if not whole.cheapest.size:
                assert not (largest == 0).any()
                continue
            end = int(whole.cheapest[0])
            prices = found.figures["price"]
            assert prices[end] == prices[largest == 0].min()
            changes = [place for place, (_, choice) in enumerate(plan.chosen(end)) if choice]
            expected = min(way_of(order, end, plan.shape, largest, prices) for order in permutations(changes))
            made = [plan.keys.index(step.key) for step in shortlists.steps(plan, end, whole.spreads)]
            assert way_of(made, end, plan.shape, largest, prices) == expected


def random_plan(random: np.random.Generator) -> dict[str, Any]:
    """Two to four parts with prices, and two targets that some combinations meet."""
    fields = {
        "tyre": ["31 in", "33 in", "35 in", "37 in"],
        "axle_ratio": [3.73, 4.1, 4.56, 4.88],
        "transfer_ratios": [[1, 2.72], [1, 3.8], [1, 4.3]],
        "gear_ratios": [[4.46, 2.61], [3.9, 2.2], [5.02, 2.8]],
    }
    among = {}
    for field, values in fields.items():
        order = random.permutation(len(values))[: int(random.integers(1, len(values) + 1))]
        among[f"part {field}"] = [
            {"name": f"{place}", field: values[choice], "price": float(random.integers(0, 5)) if place else 0}
            for place, choice in enumerate(order.tolist())
        ]
    targets = {
        "crawl_ratio": {"least": float(random.integers(40, 90))},
        "crawl_speed": {"most": float(random.uniform(0.6, 1.5))},
    }
    return {"build": {}, "among": among, "sums": ["price"], "targets": targets}


def way_of(
    order: Sequence[int], end: int, shape: tuple[int, ...], largest: Array, prices: Array
) -> tuple[float, list[float]]:
    """The sum of the largest shortfalls along an order of changes, and what each change costs."""
    places, last = np.zeros(len(shape), np.intp), np.unravel_index(end, shape)
    added, costs, before = 0.0, [], 0
    for key in order:
        places[key] = last[key]
        row = int(np.ravel_multi_index(tuple(places), shape))
        added += float(largest[row])
        costs.append(float(prices[row] - prices[before]))
        before = row
    return round(added, 9), costs


def total(order: Sequence[int], largest: Array) -> float:
    made, added = 0, 0.0
    for change in order:
        made |= 1 << change
        added += float(largest[made])
    return added


class TestDraws:
    BANDS: ClassVar[dict[str, Any]] = {
        "build": {**BUILD, "transfer_ratios": [1, 2.72]},
        "among": {"tyre": ["33x12.50R17LT", "33 in", "35x12.50R17LT"], "gears": AMONG["gears"]},
        "sums": ["price"],
        "targets": {"diameter": {"least": 32.5}, "cruise_engine_speed": {"most": 2400}},
        "aims": {"price": "low", "diameter": "high"},
        "show": 60,
    }

    def test_shares_are_those_of_each_row_drawn_alone(self) -> None:
        plan = read_shortlist(self.BANDS)
        drawn = drawn_rows(plan, range(plan.count))
        for place in range(plan.count):
            build = read_build(plan.raw(place))
            met = np.ones(512, np.bool_)
            for target in plan.targets:
                figures = outcomes(OWNERS[target.name], build).results[target.name]
                assert np.array_equal(figures, drawn.figures[target.name][place])
                met &= (figures >= (target.least or -np.inf)) & (figures <= (target.most or np.inf))
            assert np.array_equal(met, drawn.met[place])

    def test_the_best_is_the_cheapest_that_meets_all_in_a_draw(self) -> None:
        plan = read_shortlist(self.BANDS)
        drawn = drawn_rows(plan, range(plan.count))
        met, best = drawn.met, drawn.best()
        prices = drawn.figures["price"][:, 0]
        for draw in range(0, 512, 37):
            meeting = np.flatnonzero(met[:, draw])
            least = meeting[prices[meeting] == prices[meeting].min()]
            wanted = drawn.figures["diameter"][least, draw]
            assert np.flatnonzero(best[:, draw]).tolist() == least[wanted == wanted.max()].tolist()

    def test_regret_of_a_textbook(self) -> None:
        """Anderson et al., Introduction to Management Science, 13: payoffs and greatest regrets in two scenarios."""
        plan = read_shortlist({
            "build": BUILD, "among": {"tyre": ["31 in", "33 in", "35 in"]}, "aims": {"diameter": "high"}
        })  # fmt: skip
        payoffs = np.repeat([[8.0, 7.0], [14.0, 5.0], [20.0, -9.0]], 256, axis=1)
        drawn = Drawn(plan, (0, 1, 2), {"diameter": payoffs}, ())
        assert drawn.regret("diameter").tolist() == [12, 6, 16]

    def test_differences_inside_the_range_are_ties(self) -> None:
        plan = read_shortlist(
            {**self.BANDS, "among": {"tyre": ["34.5 in", "35x12.50R17LT"], "axle_ratio": [3.73]}}
        )
        drawn = drawn_rows(plan, [0, 1])
        assert drawn.as_good("diameter", 0, 1)
        assert not drawn.as_good("diameter", 0, 7)
        priced = [
            {"name": "measured", "tyre": "34.5 in"},
            {"name": "printed", "tyre": "35x12.50R17LT", "price": 9},
        ]
        plan = read_shortlist({**self.BANDS, "among": {"axle_ratio": [3.73], "tyre": priced}})
        first, _ = shortlist_document(ranking(plan, 0, 2), bands=True)["rows"]
        assert first["gives_up"] == "Best in price; diameter as good as with printed."

    def test_only_the_first_rows_are_drawn(self) -> None:
        among = {"tyre": [f"{30 + place / 10} in" for place in range(60)]}
        plan = read_shortlist(
            {**self.BANDS, "among": among, "targets": {"diameter": {"most": 90}}, "sums": ["price"]}
        )
        rows = shortlist_document(replace(ranking(plan, 0, plan.count), kept=np.arange(60)), bands=True)[
            "rows"
        ]
        assert ["meets_share" in row for row in rows] == [True] * 50 + [False] * 10

    def test_the_surest_row_is_named_where_the_first_often_fails(self) -> None:
        tyres = [
            {"name": "33s", "tyre": "33x12.50R17LT", "price": 1300},
            {"name": "35s", "tyre": "35x12.50R17LT", "price": 1500},
        ]
        plan = read_shortlist({**self.BANDS, "among": {"tyre": tyres, "axle_ratio": [3.73]}})
        made = shortlist_document(ranking(plan, 0, 2), bands=True)
        shares = {row["label"]: row["meets_share"] for row in made["rows"]}
        surest = max(shares, key=lambda label: shares[label])
        assert shares[made["rows"][0]["label"]] < shares[surest] - 0.05
        assert f"{surest} in {100 * shares[surest]:.0f} %." in made["summary"]


class TestRefusals:
    @pytest.mark.parametrize(
        ("changes", "pointer", "detail"),
        [
            ({"among": {}}, "", "among must not be empty"),
            ({"among": {"tyre": []}}, "/among/tyre", "must have a list of choices"),
            ({"among": {"axle": ["one", "two"]}}, "/among/axle", "a part of any other name has a list of objects"),
            ({"among": {**AMONG, "x": [{"ring_gear": 1}]}}, "/among/x/0", "must have a name"),
            ({"among": {**AMONG, "x": [{"name": "a"}, {"name": "a"}]}}, "/among/x/1/name", "two choices of the name"),
            ({"among": {**AMONG, "x": [{"name": "a"}, 3.2]}}, "/among/x/1", "mixes plain values with objects"),
            ({"among": {**AMONG, "x": [{"name": "a", "stub_splnes": 30}]}}, "/among/x/0/stub_splnes",
             "the nearest is stub_splines"),
            ({"among": {**AMONG, "x": [{"name": "a", "prise": 30}]}}, "/among/x/0/prise", "the nearest is price"),
            ({"among": {**AMONG, "x": [{"name": "a", "price": "30"}]}}, "/among/x/0/price", "must be a number"),
            ({"among": {**AMONG, "axle_ratio": [4.1]}}, "/among/axle_ratio", "twice, in gears and in axle_ratio"),
            ({"among": {**AMONG, "price": [{"name": "a"}]}}, "/among/price", "is the name of a sum"),
            ({"among": {**AMONG, "tyre": ["35", "33"]}}, "/among/tyre/0", "is a bare number"),
            ({"sums": []}, "", "sums must not be empty: leave it out"),
            ({"sums": ["price", "hours", "tyre"]}, "/sums/2", "has a meaning of its own"),
            ({"targets": {"crawl_ration": {"least": 1}}}, "/targets/crawl_ration", "the nearest is crawl_ratio"),
            ({"targets": {"range": {"least": 1}}}, "/targets/range", "names no result of any question"),
            ({"targets": {"construction": {"least": 1}}}, "/targets/construction", "is a word"),
            ({"targets": {"crawl_ratio": {}}}, "/targets/crawl_ratio", "must have least, most or both"),
            ({"targets": {"crawl_ratio": {"atleast": 3}}}, "/targets/crawl_ratio", "must have least, most or both"),
            ({"targets": {"crawl_ratio": {"least": 60, "most": 50}}}, "/targets/crawl_ratio", "is above its most"),
            ({"targets": {"crawl_speed": {"most": "2 kg"}}}, "/targets/crawl_speed/most", "mph"),
            ({"aims": {"price": ""}}, "/aims/price", "must say low or high"),
            ({"aims": {"price": None}}, "/aims/price", "must say low or high"),
            ({"aims": {}}, "", "aims must not be empty"),
            ({"aims": dict.fromkeys(["price", "hours", "crawl_ratio", "crawl_speed", "weakest_margin"], "low")}, "",
             "at most 4"),
            ({"show": 0}, "", "whole number of rows"),
            ({"sort": "price"}, "", "is no member of a shortlist"),
            ({"build": {}}, "/build/gear_ratios", "is needed for crawl"),
            ({"build": {**BUILD, "wieght": 1}}, "/build/wieght", "is no field of a build"),
        ],
    )  # fmt: skip
    def test_each_names_its_place(self, changes: dict[str, Any], pointer: str, detail: str) -> None:
        with pytest.raises(InvalidBuild) as refused:
            read_shortlist({**PLAN, **changes})
        told = [(fault.pointer, f"{fault.field} {fault.detail}") for fault in refused.value.faults]
        assert any(pointer == place and detail in text for place, text in told), told

    def test_nothing_to_rank_by(self) -> None:
        with pytest.raises(InvalidBuild, match="must be given, or aims, or sums"):
            read_shortlist({"build": BUILD, "among": {"tyre": AMONG["tyre"]}})


def test_targets_read_units() -> None:
    (target,) = read_shortlist({**PLAN, "targets": {"crawl_speed": {"most": "2 km/h"}}}).targets
    assert target.most == pytest.approx(2 / 3.6)


def test_fallbacks_are_told() -> None:
    assert shortlisted()["fallbacks"] == {
        "axle": {"as it is": {"from_build": ["ring_gear_diameter"], "not_given": []}}
    }


def test_a_label_for_each_combination() -> None:
    among = {"transfer_ratios": [[1, 2.72], [1, 4]], "tyre": AMONG["tyre"], "gears": AMONG["gears"]}
    plan = read_shortlist({**PLAN, "among": among})
    labels = {row["label"] for row in shortlist_document(ranking(plan, 0, plan.count))["rows"]}
    wanted = {
        " + ".join(words)
        for words in product(
            ["transfer ratios 1,2.72", "transfer ratios 1,4"],
            AMONG["tyre"],
            ["gears 3.73", "gears 4.10", "gears 4.56"],
        )
    }
    assert labels <= wanted
    assert labels
