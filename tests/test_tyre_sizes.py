"""Tyre sizes: what is read, what is refused and how, and that no text does anything else."""

import contextlib
import doctest
import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api import tyre_sizes
from gearing_api.mechanics.tyres import INCH
from gearing_api.tyre_sizes import (
    LONGEST_SIZE,
    SizeError,
    TyreSize,
    measured,
    read,
)

# Text, designation, form, construction, diameter [mm].
READ = [
    ("265/70R17", "265/70R17", "metric", "radial", 802.8),
    ("265/70R17 115T", "265/70R17 115T", "metric", "radial", 802.8),
    ("265/70R17115T", "265/70R17 115T", "metric", "radial", 802.8),
    ("  p 265 / 70 r 17 ", "P265/70R17", "metric", "radial", 802.8),
    ("LT315/75R16 121/118S", "LT315/75R16 121/118S", "metric", "radial", 878.9),
    ("315/75R16LT", "LT315/75R16", "metric", "radial", 878.9),
    ("LT285/70R17/E 121 / 118 S", "LT285/70R17/E 121/118S", "metric", "radial", 830.8),
    ("LT285/70R17E", "LT285/70R17/E", "metric", "radial", 830.8),
    ("LT265/75R16C", "LT265/75R16/C", "metric", "radial", 803.9),
    ("225/75R16C 121/120R", "225/75R16C 121/120R", "metric", "radial", 743.9),
    ("C225/75R16", "225/75R16C", "metric", "radial", 743.9),
    ("255/55 R18 CP", "255/55R18CP", "metric", "radial", 737.7),
    ("285/35ZR19 (99Y)", "285/35ZR19 99(Y)", "metric", "radial", 682.1),
    ("285/35ZR19 99(Y)", "285/35ZR19 99(Y)", "metric", "radial", 682.1),
    ("225/45ZRF17 91W", "225/45ZRF17 91W", "metric", "radial", 634.3),
    ("225/45RF17", "225/45RF17", "metric", "radial", 634.3),
    ("335/80R20", "335/80R20", "metric", "radial", 1044.0),
    ("315/80R22,5", "315/80R22.5", "metric", "radial", 1075.5),
    ("T125/70D15 95M", "T125/70D15 95M", "metric", "bias", 556.0),
    ("LT265/75D16", "LT265/75D16", "metric", "bias", 803.9),
    ("265/75-16", "265/75D16", "metric", "bias", 803.9),
    ("265/75–16", "265/75D16", "metric", "bias", 803.9),
    ("185R14C 102/100R", "185R14C 102/100R", "metric", "radial", 651.6),
    ("710/75R34", "710/75R34", "metric", "radial", 1928.6),
    ("37x12.50R17LT", "37x12.50R17LT", "flotation", "radial", 939.8),
    ("37×12,50R17", "37x12.50R17", "flotation", "radial", 939.8),
    ("37X12.5 R17 LT 124Q", "37x12.50R17LT 124Q", "flotation", "radial", 939.8),
    ("35/12.50R17/E", "35x12.50R17/E", "flotation", "radial", 889.0),
    ("35X12.50-15", "35x12.50-15", "flotation", "bias", 889.0),
    ("33x12.50D15LT", "33x12.50-15LT", "flotation", "bias", 838.2),
    ("7.50R16C", "7.50R16C", "numeric", "radial", 802.0),
    ("7.50R16", "7.50R16", "numeric", "radial", 806.0),
    ("7.5 r 16 LT", "7.50R16LT", "numeric", "radial", 806.0),
    ("7.50-16", "7.50-16", "numeric", "bias", 806.0),
    ("7.00-16", "7.00-16", "numeric", "bias", 778.0),
    ("6.00R9", "6.00R9", "numeric", "radial", 540.0),
    ("9R22.5 136/134L", "9R22.5 136/134L", "numeric", "radial", 970.0),
    ("205-640 R 440", "205-640R440", "millimetre", "radial", 640.0),
]

# Text, a part of the reason.
REFUSED = [
    ("", "not a tyre size"),
    ("   ", "not a tyre size"),
    ("35", "not a tyre size"),
    ("hello", "not a tyre size"),
    ("H78-15", "not a tyre size"),
    ("LR78-15", "not a tyre size"),
    ("185-14", "not a tyre size"),
    ("LT265/75R16LT", "not a tyre size"),
    ("265/70R17 115", "not a tyre size"),
    ("265/70R17 T", "not a tyre size"),
    ("265/70R17S", "not a tyre size"),
    ("265/70R1 115T", "not a tyre size"),
    ("265/70R17\n300", "not a tyre size"),
    ("265/70R17\x00", "not a tyre size"),
    ("２65/70R17", "not a tyre size"),
    ("٢٦٥/70R17", "not a tyre size"),
    ("265/70R17 115ſ", "not a tyre size"),
    ("1e2/70R17", "not a tyre size"),
    ("-265/70R17", "not a tyre size"),
    ("265/70R17" + " " * 40, "longer than 40 characters"),
    ("315/75/16", "write 315/75R16 for a radial or 315/75D16 for a bias tyre"),
    ("lt 315-75-16", "write LT315/75R16 for a radial or LT315/75D16 for a bias tyre"),
    ("265 70 17", "write 265/70R17 for a radial"),
    ("35x12.50x17", "write 35x12.50R17LT for a radial or 35x12.50-17LT for a bias tyre"),
    ("35/12.50/17 LT", "write 35x12.50R17LT for a radial"),
    ("7.00R15", 'give a measured diameter with its unit, such as "36.4 in"'),
    ("12.4-24", "numeric-tyre-sizes"),
    ("18.4R38", "numeric-tyre-sizes"),
    ("2650/70R17", "width 2650 mm: 100 to 1100 mm is plausible"),
    ("265/700R17", "aspect 700 %"),
    ("265/70R99", "rim 99"),
    ("10x3.00R8", "diameter 10 in"),
    ("99x12.50R17", "diameter 99 in"),
    ("35x1.50R17", "width 1.5 in"),
    ("31x10.50R30", "no room for a tyre"),
    ("205-440 R 440", "no room for a tyre"),
    ("95/20R17", "not a tyre size"),
    ("185R17.50C", "not a tyre size"),
    ("275/40ZR2(06Y)", "not a tyre size"),
    ("7.50-16041/9T", "not a tyre size"),
    ("225/70R19.5116T", "not a tyre size"),
    ("265/70R17 280T", "load index 280: there are 0 to 279"),
    ("265/70R17 121/300T", "load index 300"),
    ("265/70R17 115I", "speed symbol I: there are A1"),
]

SERVICES = st.builds(
    lambda load, dual, symbol: f" {load}{'' if dual is None else f'/{dual}'}{symbol}",
    st.integers(0, 279),
    st.none() | st.integers(0, 279),
    st.sampled_from("BCDEFGJKLMNPQRSTUHVWY") | st.sampled_from(["A8", "(Y)"]),
)
RIM_CODES = st.sampled_from(["8", "9", *map(str, range(10, 31)), "16.5", "17.5", "19.5", "22.5"])
SIZES = st.one_of(
    st.builds(
        "{}{}/{}{}{}{}".format,
        st.sampled_from(["", "P", "LT", "T"]),
        st.integers(100, 1100),
        st.integers(20, 120),
        st.sampled_from(["R", "ZR", "RF", "ZRF", "D", "-"]),
        RIM_CODES,
        st.sampled_from(["", "/E"]),
    ),
    st.builds("{}/{}R{}{}".format, st.integers(100, 455), st.integers(25, 90), RIM_CODES, st.just("C")),
    st.builds(
        "{}x{}{}{}{}".format,
        st.integers(40, 60),
        st.sampled_from(["8", "9.5", "10.50", "12.50", "14.5"]),
        st.sampled_from(["R", "-", "D"]),
        RIM_CODES,
        st.sampled_from(["", "LT", "LT/E"]),
    ),
    st.builds(
        "{}{}16{}".format, st.sampled_from(["7.00", "7.50", "8.25"]), st.sampled_from("R-D"), st.just("C")
    ),
    st.builds("{}-{}R{}".format, st.integers(150, 300), st.integers(560, 900), st.integers(300, 500)),
)


@pytest.mark.parametrize(("text", "designation", "form", "construction", "diameter"), READ)
def test_size_is_read(text: str, designation: str, form: str, construction: str, diameter: float) -> None:
    tyre = read(text)
    assert (tyre.designation, tyre.form, tyre.construction) == (designation, form, construction)
    assert tyre.diameter == pytest.approx(diameter / 1e3, abs=1e-9)


@pytest.mark.parametrize(("text", "reason"), REFUSED)
def test_size_is_refused_with_its_reason(text: str, reason: str) -> None:
    with pytest.raises(SizeError) as refusal:
        read(text)
    assert reason in str(refusal.value)


def test_every_accepted_form_named_in_the_refusal_is_accepted() -> None:
    named = tyre_sizes.ACCEPTED.partition("or a measured diameter")[0]
    examples = [example for example in re.split(r", | or | \([^)]*\)", named) if example.strip()]
    assert len(examples) == 10
    assert {read(example).form for example in examples} == {"metric", "flotation", "numeric", "millimetre"}


def test_a_metric_size_says_all_its_dimensions() -> None:
    tyre = read("LT265/75R16 123/120Q")
    assert tyre == TyreSize(
        designation="LT265/75R16 123/120Q",
        form="metric",
        construction="radial",
        diameter=pytest.approx(0.8039),
        rim_diameter=pytest.approx(0.4064),
        nominal_width=pytest.approx(0.265),
        aspect=pytest.approx(0.75),
        section_height=pytest.approx(0.19875),
        measuring_rim_width=pytest.approx(7.5 * INCH),
        section_width=pytest.approx(0.267),
        load_index=123,
        dual_load_index=120,
        speed_symbol="Q",
        load_capacity=1550.0,
        dual_load_capacity=1400.0,
        speed_capability=pytest.approx(160 / 3.6),
        nominal_diameter=False,
    )


def test_a_flotation_size_says_only_what_is_printed() -> None:
    tyre = read("35x12.50R17LT")
    assert tyre.nominal_diameter
    assert tyre.section_width == tyre.nominal_width == pytest.approx(12.5 * INCH)
    assert tyre.section_height == pytest.approx(9 * INCH)
    assert tyre.aspect is tyre.measuring_rim_width is tyre.load_capacity is tyre.speed_capability is None


def test_a_numeric_size_has_the_dimensions_of_its_row() -> None:
    tyre = read("8.25-16")
    assert (tyre.diameter, tyre.section_width, tyre.aspect) == (0.860, 0.230, None)
    assert tyre.section_height == pytest.approx((0.860 - 16 * INCH) / 2)
    assert tyre.nominal_width == pytest.approx(8.25 * INCH)


def test_a_millimetre_size_says_no_design_width() -> None:
    tyre = read("205-640R440")
    assert (tyre.nominal_width, tyre.rim_diameter, tyre.section_height) == (0.205, 0.440, pytest.approx(0.1))
    assert tyre.section_width is tyre.aspect is None


@pytest.mark.parametrize("text", ["315/80R22.5", "335/80R20", "T125/70D15"])
def test_sizes_outside_the_rim_rule_say_no_measuring_rim(text: str) -> None:
    tyre = read(text)
    assert tyre.measuring_rim_width is tyre.section_width is None


def test_a_size_without_series_means_eighty() -> None:
    assert read("185R14C").diameter == read("185/80R14C").diameter
    assert read("185R14C").aspect == 0.80


def test_z_in_the_size_means_above_240_until_a_symbol_says_more() -> None:
    assert read("285/35ZR19").speed_symbol == "Z"
    assert read("285/35ZR19").speed_capability == tyre_sizes.speed_capability("V")
    assert read("285/35ZR19 99W").speed_capability == tyre_sizes.speed_capability("W")


def test_h_stands_between_u_and_v() -> None:
    assert (
        tyre_sizes.speed_capability("U") < tyre_sizes.speed_capability("H") < tyre_sizes.speed_capability("V")
    )


def test_unknown_index_and_symbol_are_refused() -> None:
    with pytest.raises(SizeError, match="0 to 279"):
        tyre_sizes.load_capacity(280)
    with pytest.raises(SizeError, match="speed symbol O"):
        tyre_sizes.speed_capability("O")


@given(st.floats(0.3, 2.0))
def test_a_measured_tyre_is_its_diameter(diameter: float) -> None:
    tyre = measured(diameter)
    assert (tyre.diameter, tyre.construction, tyre.form) == (diameter, "radial", "measured")
    number, unit = tyre.designation.split()
    assert unit == "in"
    assert float(number) * INCH == pytest.approx(diameter, rel=1e-5)
    assert tyre.section_width is tyre.rim_diameter is tyre.section_height is None


def test_a_diameter_measured_in_inches_is_shown_as_given() -> None:
    assert measured(36.4 * INCH).designation == "36.4 in"


@given(SIZES, st.just("") | SERVICES)
def test_designation_reads_to_the_same_tyre(size: str, service: str) -> None:
    tyre = read(size + service)
    assert read(tyre.designation) == tyre


@given(SIZES, SERVICES, st.sampled_from([str.lower, str.upper]), st.booleans())
def test_case_and_space_do_not_matter(size: str, service: str, case: type[str], spaced: bool) -> None:
    text = size + service
    loose = f"  {case(text)} " if spaced else case(text)
    assert read(loose.replace("x", "×")) == read(text)


@given(SIZES, SERVICES)
def test_dimensions_are_those_of_a_tyre(size: str, service: str) -> None:
    tyre = read(size + service)
    assert tyre.rim_diameter is not None
    assert tyre.section_height is not None
    assert tyre.diameter == pytest.approx(tyre.rim_diameter + 2 * tyre.section_height)
    assert tyre.section_height > 0


def refuses_or_reads(text: str) -> None:
    with contextlib.suppress(SizeError):
        assert isinstance(read(text), TyreSize)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    refuses_or_reads(text)


@given(st.text(alphabet="0123456789./-xXRDZFLTPCEY() ×,", max_size=45))
def test_any_text_made_of_the_signs_of_sizes_is_read_or_refused(text: str) -> None:
    refuses_or_reads(text)


@given(SIZES, st.integers(0, 12), st.characters())
def test_a_size_with_a_sign_exchanged_is_read_or_refused(size: str, place: int, sign: str) -> None:
    refuses_or_reads(size[:place] + sign + size[place + 1 :])


@pytest.mark.parametrize(
    "piece", ["1", "1 ", "9/", "1.", "12x", "265/70R17 ", "L T", "(", "-", " ", "1-1R", "35 "]
)
def test_the_longest_text_costs_no_more_than_a_moment(piece: str) -> None:
    """Backtracking that grew with the text would take seconds here; what is longer is not looked at."""
    text = (piece * LONGEST_SIZE)[:LONGEST_SIZE]
    start = time.perf_counter()
    refuses_or_reads(text)
    refuses_or_reads(text * 100_000)
    assert time.perf_counter() - start < 0.2


def test_memory_of_sizes_is_bounded() -> None:
    assert read.cache_info().maxsize == 4096


def test_examples_in_the_docstrings_hold() -> None:
    outcome = doctest.testmod(tyre_sizes)
    assert outcome.attempted > 0
    assert outcome.failed == 0
