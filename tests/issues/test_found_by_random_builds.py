"""Builds that a random search found: the service failed, or its error was about something else."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.vehicle.demo_truck import TRUCK

LIFTED: dict[str, Any] = {
    "tyre": "33 in", "axle_ratio": 4.1, "gear_ratios": [4, 1], "vehicle_mass": "200 kg", "wheelbase": 114,
    "trailer_mass": "16 t", "hitch_overhang": "60 in", "peak_power": 200, "peak_power_speed": 5000,
}  # fmt: skip


def test_a_chart_of_ratios_without_a_target(client: FlaskClient) -> None:
    drawn = client.post("/v1/regear.svg", json={"tyre": "33 in", "gear_ratios": [4, 2, 1]})
    assert drawn.status_code == 200
    assert drawn.get_data(as_text=True).startswith("<svg")


@pytest.mark.parametrize(
    ("question", "changes"),
    [
        ("road-speed", {"vehicle_mass": 90_000, "rolling_resistance": 0.33, "transfer_ratios": [0.5, 0.94]}),
        ("road-speed", {"power_curve": "0:2682,164:571"}),
        ("fuel", {"original_axle_ratio": 16, "measured_fuel_economy": 20}),
    ],
    ids=["too heavy for any gear", "a curve that ends below idle", "a reading that no gear allowed"],
)
def test_a_chart_of_nothing(client: FlaskClient, question: str, changes: dict[str, Any]) -> None:
    drawn = client.post(f"/v1/{question}.svg", json=TRUCK | changes)
    assert drawn.status_code == 422
    assert drawn.get_json()["detail"].startswith("There is nothing to draw of this build: ")
    assert client.post(f"/v1/{question}", json=TRUCK | changes).status_code == 200


@pytest.mark.parametrize("question", ["acceleration", "cruise"])
def test_a_trailer_that_lifts_the_front_axle(client: FlaskClient, question: str) -> None:
    """The error once said that vehicle_mass must be above zero."""
    driven = {"centre_differential": "yes", "driven_axles": "both"}
    for more, named in (({}, "trailer_mass"), ({"tongue_mass": "1.6 t"}, "tongue_mass")):
        problem = client.post(f"/v1/{question}", json=LIFTED | driven | more).get_json()
        assert problem["status"] == 422
        assert problem["detail"] == f"{named} lifts the front axle off level ground"
