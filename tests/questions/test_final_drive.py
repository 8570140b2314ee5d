"""Final drive: what a ratio feels like on other tyres, and which restores the original."""

import pytest

from tests.questions.asking import about

SWAP = {"tyre": "33 in", "axle_ratio": 4.1, "original_tyre": "30 in", "original_axle_ratio": 3.73}
final_drive = about("final-drive", SWAP)


def test_by_hand() -> None:
    """Tyres of one construction roll in proportion to their diameters: 33 to 30."""
    assert final_drive()["result"] == pytest.approx(
        {
            "circumference_change_percent": 10.0,
            "effective_ratio": 4.1 * 30 / 33,
            "restoring_ratio": 3.73 * 33 / 30,
            "engine_speed_change_percent": 100 * (4.1 * 30 / 33 / 3.73 - 1),
        }
    )


def test_the_restoring_ratio_restores() -> None:
    restoring = final_drive()["result"]["restoring_ratio"]
    restored = final_drive(axle_ratio=restoring)["result"]
    assert restored["engine_speed_change_percent"] == pytest.approx(0.0, abs=1e-9)
    assert restored["effective_ratio"] == pytest.approx(3.73)


def test_a_bias_tyre_rolls_less_for_its_diameter() -> None:
    """2.94 against 3.05, both published."""
    bias = final_drive(original_tyre="30x9.50-15")["result"]
    assert bias["circumference_change_percent"] == pytest.approx(100 * (33 * 3.05 / (30 * 2.94) - 1))


def test_without_the_original_tyre_nothing_restores() -> None:
    alone = final_drive(original_tyre=None)
    assert alone["result"]["restoring_ratio"] is None
    assert alone["absent"] == {"restoring_ratio": {"why": "needs", "fields": ["original_tyre"]}}
    assert alone["result"]["circumference_change_percent"] == 0.0
    assert alone["verdict"] == "clear"


def test_without_the_original_ratio_the_axle_is_unchanged() -> None:
    kept = final_drive(original_axle_ratio=None)["result"]
    assert kept["engine_speed_change_percent"] == pytest.approx(100 * (30 / 33 - 1))
    assert kept["restoring_ratio"] == pytest.approx(4.1 * 33 / 30)


def test_tooth_counts_stand_for_the_ratio() -> None:
    assert final_drive(axle_ratio=None, ring_teeth=41, pinion_teeth=10)["result"] == final_drive()["result"]
