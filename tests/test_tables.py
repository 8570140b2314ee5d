"""The tables: what the reader makes of a file, and what every row must say of itself."""

import pytest

from gearing_api import tables, tyre_sizes
from gearing_api.tables import KINDS, table
from tests.questions.test_cautions import ROWS, codes_written, texts_written

NAMES = tables.names()


@pytest.mark.parametrize("name", NAMES)
def test_every_row_says_its_kind_and_source(name: str) -> None:
    read = table(name)
    for kind, source in zip(read.column("kind"), read.column("source"), strict=True):
        assert kind in KINDS
        assert isinstance(source, str)
        assert source.strip()
        assert kind != "from memory" or "from memory (" in source
        assert kind != "common practice" or "no published source" in source


@pytest.mark.parametrize("name", NAMES)
def test_every_table_is_whole(name: str) -> None:
    read = table(name)
    assert read.about.strip()
    assert read.rows
    assert len(set(read.columns)) == len(read.columns) == len(read.units)
    assert all(len(row) == len(read.columns) for row in read.rows)


def test_headings_give_units_and_empty_cells_none() -> None:
    read = table("load-index")
    assert read.columns == ("load_index", "load_capacity", "kind", "source")
    assert read.units == ("", "kg", "", "")
    assert read.about.startswith("Largest load on one tyre")
    assert read.keyed("load_index", "load_capacity")[85.0] == 515.0


@pytest.mark.parametrize("name", ["", "no-such-table", "../tables/load_index", "load_index", "LOAD-INDEX"])
def test_an_unknown_table_is_refused(name: str) -> None:
    with pytest.raises(KeyError):
        table(name)


def loads() -> list[float]:
    return [tyre_sizes.load_capacity(index) for index in range(280)]


def test_load_indices_are_0_to_279_and_rise() -> None:
    assert table("load-index").column("load_index") == [float(index) for index in range(280)]
    assert all(low < high for low, high in zip(loads(), loads()[1:], strict=False))


def test_loads_stay_within_the_band_of_series_r80() -> None:
    """Computed over the published table: 1.95 % from 45 x 10^(LI/80) kg at most, 1.75 % from 60 to 150."""
    strays = [abs(load / (45 * 10 ** (index / 80)) - 1) for index, load in enumerate(loads())]
    assert max(strays) <= 0.0195
    assert strays.index(max(strays)) == 37
    assert max(strays[60:151]) <= 0.0175


def test_loads_repeat_tenfold_after_80_steps_up_to_rounding() -> None:
    for index in range(200):
        assert loads()[index + 80] == pytest.approx(10 * loads()[index], rel=0.006)


@pytest.mark.parametrize(
    ("index", "load"), [(220, 25000), (240, 45000), (260, 80000), (268, 100000), (279, 136000)]
)
def test_loads_above_the_published_annex(index: int, load: float) -> None:
    """Published, second hand: Project Chrono, open multibody dynamics library, load index table."""
    assert tyre_sizes.load_capacity(index) == load


def test_slips_of_copied_load_tables_are_not_repeated() -> None:
    """59 and 203 are misprinted in copies; 83, 103 and 105 on retail charts.

    Published: French order of 24 October 1994, Annex II, for 83, 103, 105 and 123.
    """
    assert tyre_sizes.load_capacity(59) == 243
    assert [tyre_sizes.load_capacity(index) for index in (83, 103, 105)] == [487, 875, 925]
    assert tyre_sizes.load_capacity(203) == 10 * tyre_sizes.load_capacity(123) == 15500


def test_speed_symbols_rise_down_the_table() -> None:
    speeds = [
        speed for speed in table("speed-symbols").column("speed_capability") if isinstance(speed, float)
    ]
    assert len(speeds) == len(table("speed-symbols").rows)
    assert speeds == sorted(speeds)


def test_every_numeric_size_of_the_table_is_read_by_its_own_name() -> None:
    sizes = table("numeric-tyre-sizes")
    for row in sizes.rows:
        size, diameter, section_width = row[:3]
        assert isinstance(size, str)
        tyre = tyre_sizes.read(size)
        assert tyre.designation == size
        assert tyre.diameter * 1e3 == pytest.approx(diameter)
        if section_width is None:
            assert tyre.section_width is None
        else:
            assert tyre.section_width is not None
            assert tyre.section_width * 1e3 == pytest.approx(section_width)


def test_a_caution_means_what_its_table_says() -> None:
    meanings = table("cautions").keyed("code", "meaning")
    assert len(set(meanings.values())) == len(meanings), "no two mean the same"
    written = texts_written()
    assert len(written) > 80
    assert {code: meanings[code] for code, texts in written.items() if meanings[code] not in texts} == {}


def test_every_caution_stands_in_its_table_with_its_levels() -> None:
    levels = table("cautions").keyed("code", "levels")
    assert codes_written() <= set(levels)
    for row in ROWS:
        assert row.level in str(levels[row.code]).split(), row.code
