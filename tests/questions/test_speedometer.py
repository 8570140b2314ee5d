"""Speedometer: what it shows after a change, and whether two rules allow that."""

import pytest

from tests.questions.asking import about, column

SWAP = {"tyre": "33 in", "original_tyre": "30 in", "axle_ratio": 4.1, "original_axle_ratio": 3.73}
speedometer = about("speedometer", SWAP)
KM_H = 1 / 1.609344


def test_by_hand() -> None:
    """The sensor counts gearbox turns: a taller tyre raises the truth, a deeper ratio lowers it."""
    true = 33 / 30 * 3.73 / 4.1
    made = speedometer()
    assert made["result"] == pytest.approx(
        {"true_per_indicated": true, "distance_per_indicated": true, "correction_factor": true}
    )
    assert column(made, "true_speed")[:2] == pytest.approx([20 * true, 30 * true])


def test_an_over_reading_lowers_the_truth_and_not_the_odometer() -> None:
    made = speedometer(original_overreading_percent=5)["result"]
    assert made["true_per_indicated"] == pytest.approx(33 / 30 * 3.73 / 4.1 / 1.05)
    assert made["distance_per_indicated"] == pytest.approx(33 / 30 * 3.73 / 4.1)


def test_a_sensor_at_the_wheel_does_not_know_the_axle() -> None:
    assert speedometer(speed_sensor="wheel")["result"]["true_per_indicated"] == pytest.approx(1.1)
    without = speedometer(axle_ratio=None, original_axle_ratio=None)
    assert without["result"]["true_per_indicated"] == pytest.approx(1.1)


@pytest.mark.parametrize("speed", [30.0, 60.0, 90.0, 120.0])
def test_the_rule_of_europe_allows_a_tenth_and_four(speed: float) -> None:
    """UN Regulation 39: 0 <= indicated - true <= true / 10 + 4 km/h."""
    limit = 100 * (speed / ((speed - 4) / 1.1) - 1)
    for over, within in ((0.0, True), (-1e-6, False), (limit - 1e-6, True), (limit + 1e-6, False)):
        if -20 < over < 20:
            made = speedometer(
                "metric", tyre="30 in", axle_ratio=3.73, original_overreading_percent=over,
                indicated_speeds=[speed],
            )  # fmt: skip
            assert column(made, "within_rule")[0] is within, over


def test_one_reading_outside_the_rule_is_seen_among_others() -> None:
    made = speedometer(
        tyre="30 in", axle_ratio=3.73, original_overreading_percent=15, indicated_speeds=[20, 40, 60, 80]
    )
    assert column(made, "within_rule") == [True, True, False, False, False]


@pytest.mark.parametrize(
    ("over", "within"), [(10.0, True), (10.000001, False), (-10.0, True), (-10.000001, False)]
)
def test_the_rule_of_the_united_states_is_five_at_fifty(over: float, within: bool) -> None:
    """49 CFR 393.82."""
    made = speedometer(tyre="30 in", axle_ratio=3.73, original_overreading_percent=over)
    assert column(made, "rule")[-1] == "49 CFR 393.82"
    assert column(made, "true_speed")[-1] == pytest.approx(50.0)
    assert column(made, "indicated_speed")[-1] == pytest.approx(50.0 * (1 + over / 100))
    assert column(made, "within_rule")[-1] is within


def test_hubs_gear_down_between_sensor_and_wheel() -> None:
    """Twice the turns of the gearbox for each turn of the wheel, where the original had none."""
    true = 33 / 30 * 3.73 / 4.1 / 2
    assert speedometer(hub_ratio=2)["result"]["true_per_indicated"] == pytest.approx(true)
    assert speedometer(hub_ratio=2, original_hub_ratio=2)["result"]["true_per_indicated"] == pytest.approx(
        2 * true
    )


def test_hubs_of_the_original_are_told_as_read() -> None:
    assert speedometer(original_hub_ratio=2)["given"]["original_hub_ratio"] == 2


@pytest.mark.parametrize(
    ("over", "summary"),
    [
        (0, "the truck does 60 mph: it reads true."),
        (0.048, "the truck does 60 mph: it reads true."),
        (0.052, "the truck really does 60 mph: it reads 0.052 % fast."),
        (10, "the truck really does 54.5 mph: it reads 9.1 % fast."),
        (-10, "the truck really does 66.7 mph: it reads 11 % slow."),
        (-5, "the truck really does 63.2 mph: it reads 5.3 % slow."),
    ],
)
def test_summary(over: float, summary: str) -> None:
    made = speedometer(tyre="30 in", axle_ratio=3.73, original_overreading_percent=over)
    assert made["summary"] == f"At 60 mph on the speedometer {summary}"
