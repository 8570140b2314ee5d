"""Sentences as people write them in forums: each clear number is read right, each doubtful one is left over.

The expected builds were written by hand from what a person who knows the trade understands; no outside source
says what a sentence means.
"""

import sys
import time
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.sentences import LONGEST, Sentence, read
from gearing_api.sentences.candidates import outcomes
from gearing_api.sentences.tokens import CUES, pieces
from gearing_api.vocabulary import FIELDS, InvalidBuild


class Phrase(NamedTuple):
    """A sentence, what it says, and the numbers that it leaves in doubt."""

    sentence: str
    build: dict[str, Any]
    left: tuple[str, ...] = ()


CLEAR = [
    Phrase(
        "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low",
        {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.1, "gear_ratios": [3.83],
         "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "GOING FROM 31S TO 35S ON 4.10S, 3.83 FIRST, 2.72 LOW",
        {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.1, "gear_ratios": [3.83],
         "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "Stock is 265/70R17 with 3.73 gears, now running 315/70R17 on 4.56s",
        {"tyre": "315/70R17", "original_tyre": "265/70R17", "axle_ratio": 4.56, "original_axle_ratio": 3.73},
    ),
    Phrase(
        "I have 33s and 4.10 gears, want to go to 37s",
        {"tyre": "37 in", "original_tyre": "33 in", "axle_ratio": 4.1},
    ),
    Phrase('37" with 3.55 gears', {"tyre": "37 in", "axle_ratio": 3.55}),
    Phrase("35’s on 4.88’s", {"tyre": "35 in", "axle_ratio": 4.88}),
    Phrase("34.6 in tires with 4.10:1", {"tyre": "34.6 in", "axle_ratio": 4.1}),
    Phrase(
        "35x12.50R17 on 4.56 gears, T-case is 4:1, first is 4.46",
        {"tyre": "35x12.50R17", "axle_ratio": 4.56, "gear_ratios": [4.46], "transfer_ratios": [1, 4.0]},
    ),
    Phrase(
        "regear from 3.73 to 4.56 for 35\" tires",
        {"tyre": "35 in", "axle_ratio": 4.56, "original_axle_ratio": 3.73},
    ),
    Phrase(
        "LT285/70R17 121/118S, 4.10:1 axle, 0.83 sixth, 75 mph",
        {"tyre": "LT285/70R17 121/118S", "axle_ratio": 4.1, "gear_ratios": [0.83], "cruise_speed": "75 mph"},
    ),
    Phrase(
        "truck came with 245/75R17s, put 285/70R17s on it, still 3.73 gears. how far off is my speedo",
        {"tyre": "285/70R17", "original_tyre": "245/75R17", "axle_ratio": 3.73},
    ),
    Phrase(
        "crawl ratio with 4.88s, 6.55 first, low range 2.34 and 37s?",
        {"tyre": "37 in", "axle_ratio": 4.88, "gear_ratios": [6.55], "transfer_ratios": [1, 2.34]},
    ),
    Phrase("35s on stock 3.73s", {"tyre": "35 in", "axle_ratio": 3.73}),
    Phrase(
        "was on 31x10.50R15LT with 4.10s, now 33x12.50R15LT",
        {"tyre": "33x12.50R15LT", "original_tyre": "31x10.50R15LT", "axle_ratio": 4.1},
    ),
    Phrase(
        "4.10 front and 4.11 rear on 33s, will it bind?",
        {"tyre": "33 in", "front_axle_ratio": 4.1, "rear_axle_ratio": 4.11},
    ),
    Phrase(
        "front diff 4.10, rear diff 4.11, 33 inch tires",
        {"tyre": "33 in", "front_axle_ratio": 4.1, "rear_axle_ratio": 4.11},
    ),
    Phrase(
        "35s in the front and 33s in the rear, 4.10 gears",
        {"front_tyre": "35 in", "rear_tyre": "33 in", "axle_ratio": 4.1},
    ),
    Phrase(
        "From 33's to 37's. 456 gears.", {"tyre": "37 in", "original_tyre": "33 in", "axle_ratio": 4.56}
    ),
    Phrase(
        "gears are 3.83, 2.36, 1.69, 1.31, 1, 0.79, on 35s with 4.10s",
        {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83, 2.36, 1.69, 1.31, 1.0, 0.79]},
    ),
    Phrase(
        "4.46/2.61/1.72/1.25/1.0/0.84 with 4.56 axles, 35x12.50R17LT, 65 mph",
        {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
         "cruise_speed": "65 mph"},
    ),
    Phrase(
        "1st 3.83, 2nd 2.36, 3rd 1.69, 4th 1.31, 5th 1.00, 6th 0.79; 2.72 low; 4.88s; 35s",
        {"tyre": "35 in", "axle_ratio": 4.88, "gear_ratios": [3.83, 2.36, 1.69, 1.31, 1.0, 0.79],
         "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "first 3.83 low 2.72 axle 4.10 on 35s",
        {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83], "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "35s, 3.83 first 2.72 low 4.10 gears",
        {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83], "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "35\" tyres, 4.10s, 5,300 lbs, 260 lb-ft @ 3200, 215 hp @ 5000 rpm, hold 65 mph up a 6% grade at "
        "8000 ft",
        {"tyre": "35 in", "axle_ratio": 4.1, "vehicle_mass": "5300 lb", "peak_torque": "260 lb-ft",
         "peak_torque_speed": "3200 rpm", "peak_power": "215 hp", "peak_power_speed": "5000 rpm",
         "cruise_speed": "65 mph", "grade_percent": "6 %", "altitude": "8000 ft"},
    ),
    Phrase(
        "idle 750 rpm, redline 5500, 3.83 first, 4.10s, 35s, low 2.72",
        {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83], "transfer_ratios": [1, 2.72],
         "idle_speed": "750 rpm", "redline_speed": "5500 rpm"},
    ),
    Phrase(
        "want 2200-2500 rpm at 70mph, 35s, 4.56s, 0.79 overdrive",
        {"tyre": "35 in", "axle_ratio": 4.56, "gear_ratios": [0.79], "cruise_speed": "70 mph",
         "cruise_engine_speed_range": ["2200 rpm", "2500 rpm"]},
    ),
    Phrase(
        "31s, 4.10s to 35s, 4.88s",
        {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.88, "original_axle_ratio": 4.1},
    ),
    Phrase(
        "from 31s and 3.73s to 37s and 5.13s",
        {"tyre": "37 in", "original_tyre": "31 in", "axle_ratio": 5.13, "original_axle_ratio": 3.73},
    ),
    Phrase(
        "31s stock, 35s now, 3.73s stock and 4.56s now",
        {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.56, "original_axle_ratio": 3.73},
    ),
    Phrase(
        "35s now, 31s stock, 4.56s", {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.56}
    ),
    Phrase(
        "35s up from 31s on 4.10s", {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.1}
    ),
    Phrase(
        "35s instead of 31s on 4.10s", {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.1}
    ),
    Phrase("31’s → 35’s @ 4.10:1", {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.1}),
    Phrase("P265/70R17 115T -> LT315/70R17", {"tyre": "LT315/70R17", "original_tyre": "P265/70R17 115T"}),
    Phrase(
        "new tires 285/75/16, old ones 245/75/16, axle ratio 3.73",
        {"tyre": "285/75R16", "original_tyre": "245/75R16", "axle_ratio": 3.73},
    ),
    Phrase("33x12.50-15 with 4.88 r&p", {"tyre": "33x12.50-15", "axle_ratio": 4.88}),
    Phrase("33 x 12.5 x 15 on 3.73s", {"tyre": "33x12.50R15", "axle_ratio": 3.73}),
    Phrase("255-85-16 and 3.73 gears", {"tyre": "255/85R16", "axle_ratio": 3.73}),
    Phrase("7.50R16C with 4.10 final drive", {"tyre": "7.50R16C", "axle_ratio": 4.1}),
    Phrase("35x12.5s on 4.10s", {"tyre": "35 in", "axle_ratio": 4.1}),
    Phrase("portals 1.5:1, 40s, 4.10 gears", {"tyre": "40 in", "axle_ratio": 4.1, "hub_ratio": 1.5}),
    Phrase(
        "in low range 4.10 gears, 35s, 3.83 first",
        {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83]},
    ),
    Phrase(
        "granny low 6.68, 4.10s, 33s, 2.72 t-case",
        {"tyre": "33 in", "axle_ratio": 4.1, "gear_ratios": [6.68], "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "high range 1.22, low range 3.05, 5.29 diffs, 33s, 4.5 first gear",
        {"tyre": "33 in", "axle_ratio": 5.29, "gear_ratios": [4.5], "transfer_ratios": [1.22, 3.05]},
    ),
    Phrase(
        "2.4 t, 300 Nm, 130 kW, 110 km/h, 4.10 gears, 33s, top gear .83",
        {"tyre": "33 in", "axle_ratio": 4.1, "gear_ratios": [0.83], "vehicle_mass": "2.4 t",
         "peak_torque": "300 N m", "peak_power": "130 kW", "cruise_speed": "110 km/h"},
    ),
    Phrase(
        "swapping 4.10's for 4.88's with 37s",
        {"tyre": "37 in", "axle_ratio": 4.88, "original_axle_ratio": 4.1},
    ),
    Phrase(
        "replacing 31s with 35s, 3.73 gears", {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 3.73}
    ),
    Phrase(
        "What's my crawl ratio? 4:1 case, 4.88 gears, 3.06 first, 37s",
        {"tyre": "37 in", "axle_ratio": 4.88, "gear_ratios": [3.06], "transfer_ratios": [1, 4.0]},
    ),
    Phrase(
        "5500 lbs with 35s and 4.56s, makes 285 hp and 260 ft/lbs",
        {"tyre": "35 in", "axle_ratio": 4.56, "vehicle_mass": "5500 lb", "peak_power": "285 hp",
         "peak_torque": "260 lb-ft"},
    ),
    Phrase(
        "33\" tires/4.10 gears/3.83 first/2.72 low",
        {"tyre": "33 in", "axle_ratio": 4.1, "gear_ratios": [3.83], "transfer_ratios": [1, 2.72]},
    ),
    Phrase(
        "Just went from stock 30.5\" tires to 33\" and my 3.55 gears feel weak",
        {"tyre": "33 in", "original_tyre": "30.5 in", "axle_ratio": 3.55},
    ),
    Phrase(
        "Thinking of 4.88s for my 37s, currently 4.10s, with a .83 fifth",
        {"tyre": "37 in", "axle_ratio": 4.88, "original_axle_ratio": 4.1, "gear_ratios": [0.83]},
    ),
    Phrase(
        "dropped from 4.10 to 3.73 with 29\" tires",
        {"tyre": "29 in", "axle_ratio": 3.73, "original_axle_ratio": 4.1},
    ),
    Phrase("35s on 4.10", {"tyre": "35 in", "axle_ratio": 4.1}),
    Phrase("what rpm at 65 mph with 33s and 3.73",
           {"tyre": "33 in", "cruise_speed": "65 mph", "axle_ratio": 3.73}),
    Phrase("4.56 or 4.88 gears for 37s?", {"tyre": "37 in", "available_ratios": [4.56, 4.88]}),
    Phrase("4.10 vs. 4.56 on 33s", {"tyre": "33 in", "available_ratios": [4.1, 4.56]}),
    Phrase("3,83 first and 4,10 gears on 35s", {"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": [3.83]}),
    Phrase("31s stock, 35s now, 3.73 stock and 4.56 now",
           {"tyre": "35 in", "original_tyre": "31 in", "axle_ratio": 4.56, "original_axle_ratio": 3.73}),
    Phrase("swap 4.10 for 4.88", {"axle_ratio": 4.88, "original_axle_ratio": 4.1}),
    Phrase("to 5.13 gears from 4.56 on 39s",
           {"tyre": "39 in", "axle_ratio": 5.13, "original_axle_ratio": 4.56}),
    Phrase("locked front, open rear, 40s", {"tyre": "40 in", "front_differential": "locked",
                                            "rear_differential": "open"}),
    Phrase("41/9 gears", {"ring_teeth": 41, "pinion_teeth": 9}),
    Phrase("750R16, 4.7 axle", {"tyre": "7.50R16", "axle_ratio": 4.7}),
    Phrase("down a 20% hill, 33s", {"tyre": "33 in", "grade_percent": "-20 %"}),
    Phrase("down a 60% hill, 33s", {"tyre": "33 in", "descent_grade_percent": "60 %"}),
    Phrase("a 2,5 t turbodiesel, 33s",
           {"tyre": "33 in", "vehicle_mass": "2.5 t", "engine_kind": "diesel-turbo"}),
    Phrase("aired down to 15 psi on 37s", {"tyre": "37 in", "tyre_pressure": "15 psi"}),
]  # fmt: skip

DOUBTFUL = [
    Phrase("4.10's, 4.88's with 37s", {"tyre": "37 in"}, ("4.10's", "4.88's")),
    Phrase(
        "my crawl ratio: 3.83 x 2.72 x 4.10", {}, ("3.83", "2.72", "4.10")
    ),
    Phrase("from 33 to 37 with 4.56 gears", {"axle_ratio": 4.56}, ("33", "37")),
    Phrase("275/70/16 = 31.2\" and 4.11", {"tyre": "275/70R16", "axle_ratio": 4.11}, ("31.2\"",)),
    Phrase("285/70R17 (33\") with 4.10s", {"tyre": "285/70R17", "axle_ratio": 4.1}, ("33\"",)),
    Phrase("70mph at 2400 rpm in 5th on 35s with 4.10s",
           {"tyre": "35 in", "axle_ratio": 4.1, "cruise_speed": "70 mph"}, ("2400 rpm",)),
    Phrase("315s on 456s", {"axle_ratio": 4.56}, ("315s",)),
    Phrase("315s on 355s", {}, ("315s", "355s")),
    Phrase("265/70-17 on 4.10s", {"axle_ratio": 4.1}, ("265/70-17",)),
    Phrase("8 lug 9.75 axle, 38s", {"tyre": "38 in"}, ("8", "9.75")),
    Phrase("gearbox 5.46, 35s", {"tyre": "35 in"}, ("5.46",)),
    Phrase("temps in the 30s with 35s", {"tyre": "35 in"}, ("30s",)),
    Phrase("first 4.10 then 4.88 on 37s", {"tyre": "37 in", "axle_ratio": 4.88}, ("4.10",)),
    Phrase("gcwr 12,000 lb, lost 30 hp, 35s", {"tyre": "35 in"}, ("12,000 lb", "30 hp")),
    Phrase("a 2 horse trailer, 4,500 lbs loaded", {}, ("2", "4,500 lbs")),
    Phrase("max towing 5,000 lb, 35s", {"tyre": "35 in"}, ("5,000 lb",)),
    Phrase("32 spline output, 35s", {"tyre": "35 in"}, ("32 spline",)),
    Phrase("from a 3.55 open diff to a 4.10 locker", {}, ("3.55", "open diff", "4.10")),
    Phrase("locked front hubs, manual says 35 psi", {"tyre_pressure": "35 psi"}, ()),
    Phrase("8.8 rear, 35s", {"tyre": "35 in"}, ("8.8",)),
    Phrase("33s, 2.72, 3.73", {"tyre": "33 in"}, ("2.72", "3.73")),
    Phrase("35s on 4.10 with a 3.07", {"tyre": "35 in"}, ("4.10", "3.07")),
    Phrase("up a 6% and down a 10% grade", {}, ("6%", "10% grade")),
    Phrase("35 spline inners, 30 spline, 40s", {"tyre": "40 in"}, ("35 spline", "30 spline")),
    Phrase("33/10 and 4.10s", {"axle_ratio": 4.1}, ("33/10",)),
    Phrase("800 lb payload, 2,500 lb trailer capacity, 33s", {"tyre": "33 in"}, ("800 lb", "2,500 lb")),
    Phrase("front 33s and 35s rear and 37s", {"front_tyre": "33 in", "rear_tyre": "35 in"}, ("37s",)),
    Phrase("315/75s on 4.10s", {"axle_ratio": 4.1}, ("315/75s",)),
    Phrase("33s or 35s with 4.10 gears", {"axle_ratio": 4.1}, ("33s", "35s")),
    Phrase("33s vs 35s vs 37s", {}, ("33s", "35s", "37s")),
    Phrase("from 31s to 35s or 37s", {"original_tyre": "31 in"}, ("35s", "37s")),
    Phrase("33-35s with 4.10s", {"axle_ratio": 4.1}, ("33-35s",)),
    Phrase("65-70 mph on 35s", {"tyre": "35 in"}, ("65-70 mph",)),
    Phrase("65 to 70 mph on 35s", {"tyre": "35 in"}, ("65 to 70 mph",)),
    Phrase("4.10s 35s 3.83 2.72", {"tyre": "35 in", "axle_ratio": 4.1}, ("3.83", "2.72")),
    Phrase("33 1/2 in tires with 4.10s", {"axle_ratio": 4.1}, ("33 1/2 in",)),
    Phrase("low gear 3.83, 4.10s, 35s", {"tyre": "35 in", "axle_ratio": 4.1}, ("3.83",)),
    Phrase("low 2.72 first, 35s", {"tyre": "35 in"}, ("2.72",)),
    Phrase("2.72 high pinion, 35s", {"tyre": "35 in"}, ("2.72",)),
    Phrase("9500 lb winch, 35s, 4.56s", {"tyre": "35 in", "axle_ratio": 4.56}, ("9500 lb",)),
    Phrase("2\" lift, 26 in rims, 35s, $1,500 budget",
           {"tyre": "35 in", "lift_height": "2 in"}, ("26", "$1,500")),
    Phrase("35 in the garage, 4.10 in the truck", {}, ("35", "4.10")),
    Phrase("30 spline, 35 psi, 4.0L, 5 speed",
           {"tyre_pressure": "35 psi", "inner_splines": 30, "engine_displacement": "4 L"}, ("5",)),
    Phrase("2.0 doubler, 2.72 low, 4.46 first, 40s, 5.38s",
           {"tyre": "40 in", "axle_ratio": 5.38, "gear_ratios": [4.46], "transfer_ratios": [1, 2.72]},
           ("2.0",)),
    Phrase("a 7.50x16 on 4.10s", {"axle_ratio": 4.1}, ("7.50x16",)),
    Phrase("2.72 low to 4.0 low, first 3.83",
           {"gear_ratios": [3.83], "transfer_ratios": [1, 4.0]}, ("2.72 low",)),
    Phrase("5th 0.79, 1st 0.5", {}, ("5th 0.79", "1st 0.5")),
    Phrase("first 3.83, first 4.02, 35s", {"tyre": "35 in"}, ("first 3.83", "first 4.02")),
    Phrase("axle 55.0, 35s", {"tyre": "35 in"}, ("55.0",)),
    Phrase("5 gears and 3 axles on 35s", {"tyre": "35 in"}, ("5", "3")),
    Phrase("top speed 90 mph, crawls at 2 mph, 20s", {}, ("90 mph", "2 mph", "20s")),
    Phrase("2012 truck, 180,000 miles, 16 mpg", {}, ("2012", "180,000", "16")),
    Phrase("6% better, 12 ft long, 35s", {"tyre": "35 in"}, ("6%", "12 ft")),
    Phrase("15 psi boost", {}, ("15 psi",)),
    Phrase("hello, nice truck!", {}),
]  # fmt: skip


def sentences(phrases: list[Phrase]) -> Callable[..., Any]:
    return pytest.mark.parametrize("phrase", phrases, ids=[phrase.sentence for phrase in phrases])


def left(sentence: str, found: Sentence) -> tuple[str, ...]:
    """The numbers that are left over."""
    return tuple(
        sentence[unused.start : unused.end]
        for unused in found.unused
        if unused.reason != "is named without a number beside it"
    )


def test_there_are_enough_phrasings() -> None:
    assert len({phrase.sentence for phrase in CLEAR + DOUBTFUL}) >= 80


@sentences(CLEAR)
def test_a_clear_sentence_is_read_whole(phrase: Phrase) -> None:
    found = read(phrase.sentence)
    assert found.build == phrase.build
    assert left(phrase.sentence, found) == ()


@sentences(DOUBTFUL)
def test_a_doubtful_number_is_left_over_with_a_reason(phrase: Phrase) -> None:
    found = read(phrase.sentence)
    assert found.build == phrase.build
    assert left(phrase.sentence, found) == phrase.left
    assert all(unused.reason for unused in found.unused)


@sentences(CLEAR + DOUBTFUL)
def test_each_value_has_the_piece_that_says_it(phrase: Phrase) -> None:
    found = read(phrase.sentence)
    assert {one.field for one in found.understood} == set(found.build)
    for one in found.understood:
        piece = phrase.sentence[one.start : one.end]
        digits = str(one.value).rstrip("0").rstrip(".") if isinstance(one.value, float) else str(one.value)
        assert piece.strip() == piece != ""
        if one.field in WORDS_ALONE:
            continue
        assert any(mark.isdigit() for mark in piece)
        if isinstance(one.value, float) and "456" not in piece:
            assert digits.lstrip("0") in piece.replace(",", ".")


WORDS_ALONE = {"front_differential", "rear_differential", "differential", "engine_kind", "gearbox_kind"}


@sentences(CLEAR + DOUBTFUL)
def test_the_questions_that_fit_do_answer(phrase: Phrase) -> None:
    found = read(phrase.sentence)
    for name in found.fits:
        for system in ("us", "metric"):
            assert ask(QUESTIONS[name], read_build(found.build, system)).result


@pytest.mark.parametrize(
    ("sentence", "asked"),
    [
        ("35s on 4.10 and 3.55", "Are 4.10 and 3.55 axle ratios, before and after?"),
        ("37s with 4.10s, was on 33", "Is 33 the height in inches of the tyre before?"),
        ("from 33 to 37 with 4.56 gears",
         "Are 33 and 37 the heights of the tyres in inches, before and after?"),
        ("33s or 35s with 4.10 gears", "Which is it: 33 in, or 35 in?"),
        ("4.10's, 4.88's with 37s, was 33s", "Which is it: 4.10, or 4.88?"),
        ("crawl ratio with 35s and 4.10s, 2.72 low", "What is first gear, such as 3.83 first?"),
        ("crawl ratio with 35s and 4.10s, 3.83 first", "What is the low range, such as 2.72 low?"),
        ("crawl ratio with 35s and 4.10s, 3.83 first, 2.72", "Is 2.72 the low range?"),
        ("from 31s to 35s on 4.10s, 3.83", "What is 3.83: an axle ratio, first gear, or low range?"),
        ("rpm at 70 mph on 35s with 4.10s", "What is top gear, such as 0.83 overdrive?"),
        ("from 31s to 35s", "What is the axle ratio, such as 4.10 gears?"),
        ("4.10s", "Which tyre is fitted: a size such as 35x12.50R17LT, or a height such as 35 in?"),
        ("hello", "Which tyre is fitted: a size such as 35x12.50R17LT, or a height such as 35 in?"),
        ("from 31s, 4.10s", "Which tyre is fitted: a size such as 35x12.50R17LT, or a height such as 35 in?"),
        ("35s in front, 33s in the rear", "What are the axle ratios, such as 4.10 front and 4.11 rear?"),
        ("going from 31s to 35s on 4.10s, 3.83 first, 2.72 low", None),
        ("4.10 front and 4.11 rear on 33s", None),
    ],
)  # fmt: skip
def test_one_thing_is_asked_back_where_the_likeliest_question_lacks_it(
    sentence: str, asked: str | None
) -> None:
    found = read(sentence).ask
    assert (found and found.question) == asked


@pytest.mark.parametrize(
    ("sentence", "first"),
    [
        ("from 31s to 35s on 4.10s, 3.83 first", "final-drive"),
        ("crawl ratio? from 31s to 35s on 4.10s, 3.83 first", "crawl"),
        ("how far off is my speedo from 31s to 35s on 4.10s", "speedometer"),
        ("35s, 4.10s, 3.83 first, 2.72 low", "crawl"),
        ("35s, 4.10s, 0.83 overdrive", "road-speed"),
        ("4.10 front, 4.11 rear, 33s", "axle-match"),
        ("what gears for 35s, was 31s on 3.73s, 0.83 overdrive", "regear"),
        ("285/70R17", "tyre"),
    ],
)
def test_the_likeliest_question_comes_first(sentence: str, first: str) -> None:
    assert read(sentence).fits[0] == first


def test_gears_that_do_not_reach_the_top_are_not_put_to_questions_about_the_top() -> None:
    assert {"road-speed", "cruise", "regear"}.isdisjoint(read("35s, 4.10s, 3.83 first, 5000 lb").fits)
    assert "crawl" not in read("35s, 4.10s, 0.83 overdrive").fits


@pytest.mark.parametrize(
    ("sentence", "field", "words"),
    [
        ("35s", "tyre", "35 in is taken as the measured, free diameter"),
        ("315/75/16", "tyre", "taken as radial, 315/75R16"),
        ("35x12.5s", "tyre", "without its rim is taken by its height, 35 in"),
        ("456 gears", "axle_ratio", "hundredths, 4.56"),
        ("from 3.73 to 4.56", "axle_ratio", "two bare numbers with to between them"),
        ("4.10 rear", "axle_ratio", "only the rear is named"),
        ("was on 4.10s, now 35s", "axle_ratio", "taken as still fitted"),
        ("2.72 low", "transfer_ratios", "high range is taken as direct"),
        ("3.83 first", "gear_ratios", "holds only the gears that are named"),
        ("3.83 first, 0.79 sixth", "gear_ratios", "the last gear that is named is taken as top gear"),
        ("4.46/2.61/1.72/1.25/1/0.84", "gear_ratios", "falling numbers in a row are taken as the gearbox"),
        ("260 lb-ft @ 3200", "peak_torque_speed", "3200 behind torque or power is taken as rpm"),
    ],
)
def test_what_is_taken_by_convention_is_told(sentence: str, field: str, words: str) -> None:
    assert any(name == field and words in text for name, text in read(sentence).assumed)


def test_a_printed_size_is_no_convention() -> None:
    assert read("LT285/70R17 121/118S and 4.10 gears").assumed == ()


def test_what_is_out_of_bounds_says_what_is_accepted() -> None:
    (unused,) = read("axle ratio 55.5").unused
    assert unused.reason == "must be a number from 1 to 20"


def test_typographic_marks_keep_their_places() -> None:
    sentence = "  35”\u00a0→ 37″ on\t4.10’s – 3.83 first"
    assert [sentence[one.start : one.end] for one in read(sentence).understood] == [
        "35”", "37″", "4.10’s", "3.83 first",
    ]  # fmt: skip


@pytest.mark.parametrize("sentence", ["", " ", "\n\t\u00a0", "x" * (LONGEST + 1)])
def test_an_empty_or_long_sentence_is_refused(sentence: str) -> None:
    with pytest.raises(InvalidBuild) as refused:
        read(sentence)
    assert [fault.field for fault in refused.value.faults] == ["q"]


def test_the_longest_sentence_is_read() -> None:
    assert read("35s".ljust(LONGEST)).build == {"tyre": "35 in"}


# Anything at all

WORDS = st.sampled_from(
    [word for phrase in CLEAR + DOUBTFUL for word in phrase.sentence.split()]
    + ["4.10", "35", ",", "/", "-", "to", "=", "(", ")", "1.0", "0.79", "456", "315/75", "@all", "```"]
)  # fmt: skip
ANYTHING = st.one_of(
    st.text(max_size=10_000),
    st.text(alphabet="0123456789.,:/x-'\" sinRLTtofmphb%$", max_size=700),
    st.lists(WORDS, max_size=80).map(" ".join),
    st.lists(WORDS, max_size=80).map("".join),
)


@settings(max_examples=400, deadline=None)
@given(ANYTHING)
@example("1\u0661s 35s")
@example("\u017fs 4.10\u017f 35\u212a")
@example("9" * 500)
@example("4.10 first " * 45)
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        found = read(text)
    except InvalidBuild:
        assert len(text) > LONGEST or not text.strip()
        return
    for name, value in found.build.items():
        FIELDS[name].read(value, "us")
        FIELDS[name].read(value, "metric")
    places = [(one.start, one.end) for one in (*found.understood, *found.unused)]
    assert all(0 <= start < end <= len(text) for start, end in places)
    assert {one.field for one in found.understood} == set(found.build)
    assert set(found.fits) <= set(QUESTIONS)
    assert found.ask is None or found.ask.question.isascii()
    assert all(text.isascii() for _, text in found.assumed)


@settings(max_examples=400, deadline=None)
@given(st.one_of(ANYTHING, st.lists(WORDS, max_size=60).map(" ".join)))
@example("35s, 35s and 4.10s, 4.10s")
@example("1.0, 0.79 of 4.46/2.61/1.72/1.25/1.0/0.84")
def test_every_number_is_understood_or_left_over(text: str) -> None:
    if not text.strip() or len(text) > LONGEST:
        return
    found = read(text)
    told = {place for one in (*found.understood, *found.unused) for place in range(one.start, one.end)}
    digits = {
        piece.start + at
        for piece in pieces(text)
        for at, mark in enumerate(piece.text)
        if mark in "0123456789"
    }
    named = {place for piece in pieces(text) if piece.kind in CUES for place in range(piece.start, piece.end)}
    assert digits - named <= told


WORST = [
    "1", "1,", "4.10 ", "1 1/", "35x", "9 to ", "LT", "3.3/", "a", "the ", "-", "1.", "first ", "35 in ",
    "''", "$1", "4.10, ", "re-gear ", "31s stock ", "low 2.72 ", "2.72 low 3.83 first ", "(", "=35s",
]  # fmt: skip


def _lines_run(text: str) -> int:
    """Lines of Python that are run to read it, whatever the machine."""
    count = 0

    def trace(frame: Any, event: str, _: Any) -> Any:
        nonlocal count
        if event == "line" and "/sentences/" in frame.f_code.co_filename.replace("\\", "/"):
            count += 1
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        outcomes(pieces(text))
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize("unit", WORST)
def test_the_steps_grow_with_the_length_alone(unit: str) -> None:
    """Eight times the text takes about eight times the steps; a square law would take 64 times."""
    one, eight = _lines_run(unit * 40), _lines_run(unit * 320)
    assert eight <= 10 * one + 200


@pytest.mark.parametrize("unit", WORST)
def test_the_expressions_take_time_in_proportion(unit: str) -> None:
    """The pieces alone, without the cap on the length; the best of several rounds."""

    def best(text: str) -> float:
        times = []
        for _ in range(3):
            start = time.process_time()
            pieces(text)
            times.append(time.process_time() - start)
        return min(times)

    assert best(unit * 1600) <= 30 * best(unit * 200) + 0.01
