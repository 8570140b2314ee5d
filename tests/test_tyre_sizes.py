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
    ("255/85-16", "255/85D16", "metric", "bias", 839.9),
    ("255/85–16", "255/85D16", "metric", "bias", 839.9),
    ("315/75/16", "315/75R16", "metric", "radial", 878.9),
    ("lt 315-75-16", "LT315/75R16", "metric", "radial", 878.9),
    ("265 70 17", "265/70R17", "metric", "radial", 802.8),
    ("265.70.17", "265/70R17", "metric", "radial", 802.8),
    ("265/70-R17", "265/70R17", "metric", "radial", 802.8),
    ("265/70\u042017", "265/70R17", "metric", "radial", 802.8),
    ("265/70R17 116-114R", "265/70R17 116/114R", "metric", "radial", 802.8),
    ("265/70R17 121S XL", "265/70R17 121S XL", "metric", "radial", 802.8),
    ("P235/75R15XL 108S", "P235/75R15 108S XL", "metric", "radial", 733.5),
    ("265/70R17 EXTRA LOAD", "265/70R17 XL", "metric", "radial", 802.8),
    ("225/75R16C 8PR 116/114 R", "225/75R16C 116/114R 8PR", "metric", "radial", 743.9),
    ("LT285/70R17 121/118S LRE OWL M+S 3PMSF TL", "LT285/70R17/E 121/118S", "metric", "radial", 830.8),
    ("LT265/75R16 load range E 10 ply", "LT265/75R16/E 10PR", "metric", "radial", 803.9),
    ("185SR14", "185SR14", "metric", "radial", 651.6),
    ("P195/75SR15", "P195/75SR15", "metric", "radial", 673.5),
    ("ST225/75R15", "ST225/75R15", "metric", "radial", 718.5),
    ("255/100R16", "255/100R16", "metric", "radial", 916.4),
    ("185R14C 102/100R", "185R14C 102/100R", "metric", "radial", 651.6),
    ("710/75R34", "710/75R34", "metric", "radial", 1928.6),
    ("37x12.50R17LT", "37x12.50R17LT", "flotation", "radial", 939.8),
    ("37×12,50R17", "37x12.50R17", "flotation", "radial", 939.8),
    ("37X12.5 R17 LT 124Q", "37x12.50R17LT 124Q", "flotation", "radial", 939.8),
    ("35/12.50R17/E", "35x12.50R17/E", "flotation", "radial", 889.0),
    ("35X12.50-15", "35x12.50-15", "flotation", "bias", 889.0),
    ("33x12.50D15LT", "33x12.50-15LT", "flotation", "bias", 838.2),
    ("35x12.50x17", "35x12.50R17", "flotation", "radial", 889.0),
    ("35/12.50/17 LT", "35x12.50R17LT", "flotation", "radial", 889.0),
    ('35"x12.5"x17"', "35x12.50R17", "flotation", "radial", 889.0),
    ("35\u044512.50R17", "35x12.50R17", "flotation", "radial", 889.0),
    ("35x1250R17", "35x12.50R17", "flotation", "radial", 889.0),
    ("33x1050-15", "33x10.50-15", "flotation", "bias", 838.2),
    ("31X10.50R15LT C 109S OWL", "31x10.50R15LT/C 109S", "flotation", "radial", 787.4),
    ("750R16", "7.50R16", "numeric", "radial", 806.0),
    ("700R16", "7.00R16", "numeric", "radial", 778.0),
    ("900R20", "9.00R20", "numeric", "radial", 1018.0),
    ("1200R24", "12.00R24", "numeric", "radial", 1226.0),
    ("825-16", "8.25-16", "numeric", "bias", 860.0),
    ("7.50R16 8PR TT", "7.50R16 8PR", "numeric", "radial", 806.0),
    ("7.50R16C", "7.50R16C", "numeric", "radial", 802.0),
    ("7.50R16", "7.50R16", "numeric", "radial", 806.0),
    ("7.5 r 16 LT", "7.50R16LT", "numeric", "radial", 806.0),
    ("7.50-16", "7.50-16", "numeric", "bias", 806.0),
    ("7.00-16", "7.00-16", "numeric", "bias", 778.0),
    ("6,50-16\u0421", "6.50-16C", "numeric", "bias", 760.0),
    ("650-16", "6.50-16", "numeric", "bias", 760.0),
    ("265/35ZR21(101Y)XL TL", "265/35ZR21 101(Y) XL", "metric", "radial", 718.9),
    ("315/80R22.5 158/150 L 156/150 M", "315/80R22.5 158/150L (156/150M)", "metric", "radial", 1075.5),
    ("315/80R22.5 156/150L (154/150M)", "315/80R22.5 156/150L (154/150M)", "metric", "radial", 1075.5),
    ("LT225/75R16 115/112 S 115/112 S", "LT225/75R16 115/112S (115/112S)", "metric", "radial", 743.9),
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
    ("H78-15", "lettered size"),
    ("LR78-15", "lettered size"),
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
    ("265/70R17" + " " * 60, "longer than 60 characters"),
    ("265/70-17", "write 265/70R17 for a radial or 265/70D17 for a bias tyre"),
    ("265/75-16", "write 265/75R16 for a radial or 265/75D16 for a bias tyre"),
    ("255/80-17", "write 255/80R17 for a radial"),
    ("7.50x16", "write 7.50R16 for a radial or 7.50-16 for a bias tyre"),
    ("315/75", "a tyre size without its rim"),
    ("265/70R17 XL XL", "not a tyre size"),
    ("265/70R17 121S 119S", "not a tyre size"),
    ("265/70R17 121/118S 119/116S", "not a tyre size"),
    ("118/85R 125R 121/31S", "not a tyre size"),
    ("315/80R22.5 158/150L 300/150M", "load index 300"),
    ("315/80R22.5 158/150L 156/150M 154/150N", "not a tyre size"),
    ("6.50R16", "numeric-tyre-sizes"),
    ("P750R16", "not a tyre size"),
    ("401R16", "numeric-tyre-sizes"),
    ("12.5R20", "numeric-tyre-sizes"),
    ("1100/80R38", "would be 107 in tall: 15 to 80 in is plausible"),
    ("125/20R8", "would be 9.97 in tall"),
    ("14x4.00R8", "diameter 14 in: 15 to 80 in"),
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
    ("95/20R17", "diameter 95 in"),
    ("185R17.50C", "not a tyre size"),
    ("275/40ZR2(06Y)", "not a tyre size"),
    ("7.50-16041/9T", "not a tyre size"),
    ("225/70R19.5116T", "not a tyre size"),
    ("265/70R17 280T", "load index 280: there are 0 to 279"),
    ("265/70R17 121/300T", "load index 300"),
    ("265/70R17 115I", "speed symbol I: there are A1"),
]

MARKS = st.sampled_from(["", " XL", " 8PR", " XL 10PR", " M+S", " OWL 3PMSF"])
SERVICES = st.builds(
    lambda load, dual, symbol: f" {load}{'' if dual is None else f'/{dual}'}{symbol}",
    st.integers(0, 279),
    st.none() | st.integers(0, 279),
    st.sampled_from("BCDEFGJKLMNPQRSTUHVWY") | st.sampled_from(["A8", "(Y)"]),
)
RIM_CODES = st.sampled_from(["8", "9", *map(str, range(10, 31)), "16.5", "17.5", "19.5", "22.5"])


def is_tall_enough(size: str) -> bool:
    """Whether a metric size is between 15 and 80 in tall."""
    width, aspect, rim = (float(part) for part in re.findall(r"\d+(?:\.5)?", size)[:3])
    return 15 < width * aspect / 1270 + rim < 80


SIZES = st.one_of(
    st.builds(
        "{}{}/{}{}{}{}".format,
        st.sampled_from(["", "P", "LT", "T"]),
        st.integers(100, 1100),
        st.integers(20, 120),
        st.sampled_from(["R", "ZR", "RF", "ZRF", "SR", "D"]),
        RIM_CODES,
        st.sampled_from(["", "/E"]),
    ).filter(is_tall_enough),
    st.builds("{}/{}-{}".format, st.integers(125, 355), st.integers(76, 120), st.integers(10, 16)),
    st.builds("{}/{}R{}C".format, st.integers(100, 455), st.integers(25, 90), RIM_CODES).filter(
        is_tall_enough
    ),
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
        load_class="light-truck",
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


@given(SIZES, st.just("") | SERVICES, MARKS)
def test_designation_reads_to_the_same_tyre(size: str, service: str, marks: str) -> None:
    tyre = read(size + service + marks)
    assert read(tyre.designation) == tyre
    assert tyre.extra_load == ("XL" in marks)


@pytest.mark.parametrize(
    ("text", "extra_load", "load_range", "ply_rating"),
    [
        ("265/70R17 121S", False, None, None),
        ("265/70R17 121S XL", True, None, None),
        ("175/65R14 86T RF", True, None, None),
        ("175/65R14 86T reinforced", True, None, None),
        ("LT285/70R17E", False, "E", None),
        ("LT285/70R17 LRE", False, "E", None),
        ("LT285/70R17 LR F", False, "F", None),
        ("7.50R16 12PR", False, None, 12),
        ("7.50-16 6 ply", False, None, 6),
        ("LT235/85R16 120/116R E 10 P.R.", False, "E", 10),
    ],
)
def test_marks_of_load_are_facts(
    text: str, extra_load: bool, load_range: str | None, ply_rating: int | None
) -> None:
    tyre = read(text)
    assert (tyre.extra_load, tyre.load_range, tyre.ply_rating) == (extra_load, load_range, ply_rating)


@pytest.mark.parametrize(
    ("text", "construction", "printed"),
    [
        ("265/70R17", "radial", True),
        ("265/70D17", "bias", True),
        ("265/70/17", "radial", False),
        ("255-85-16", "radial", False),
        ("255/85-16", "bias", False),
        ("33x12.50-15", "bias", False),
        ("33x12.50x15", "radial", False),
        ("7.50-16", "bias", False),
        ("185SR14", "radial", True),
    ],
)
def test_what_is_not_printed_of_the_construction_is_said(text: str, construction: str, printed: bool) -> None:
    tyre = read(text)
    assert (tyre.construction, tyre.construction_printed) == (construction, printed)


@pytest.mark.parametrize(("text", "use"), [("265/70-17", "265/70R17"), ("7.50x16", "7.50R16")])
def test_a_refusal_offers_what_was_likeliest_meant(text: str, use: str) -> None:
    with pytest.raises(SizeError) as refusal:
        read(text)
    assert refusal.value.use == use
    assert read(use).diameter > 0


def test_no_numeric_size_contradicts_its_metric_twin() -> None:
    """14.5R20 is 365/80R20; 12.5R20 was 76 mm off its twin 335/80R20 and is left out."""
    assert read("14.5R20").diameter == pytest.approx(read("365/80R20").diameter, abs=0.001)


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
    start = time.thread_time()
    refuses_or_reads(text)
    refuses_or_reads(text * 100_000)
    assert time.thread_time() - start < 0.2


def test_memory_of_sizes_is_bounded() -> None:
    assert read.cache_info().maxsize == 4096


def test_examples_in_the_docstrings_hold() -> None:
    outcome = doctest.testmod(tyre_sizes)
    assert outcome.attempted > 0
    assert outcome.failed == 0
