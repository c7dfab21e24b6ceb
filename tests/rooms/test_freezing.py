"""Will it freeze tonight?"""

import math

import pytest

from scrubwright.battery.freezing import may_freeze
from scrubwright.measures.errors import BadInput


@pytest.mark.parametrize(
    ("gravity", "forecast_c", "may"),
    [
        # A full pack stands any night.
        (1.265, -40, False),
        # Half empty, 1.190 freezes at about -24 °C, and 5 kelvin are kept to spare.
        (1.190, -18, False),
        (1.190, -20, True),
        # A flat cell freezes at about -10 °C: already a night of -6 °C is too cold.
        (1.120, -4, False),
        (1.120, -6, True),
    ],
)
def test_the_weakest_cell_decides_with_five_kelvin_to_spare(gravity: float, forecast_c: float, may: bool) -> None:
    assert may_freeze(gravity, forecast_c + 273.15) is may


@pytest.mark.parametrize("forecast_k", [-5.0, 25.0, 400.0, math.nan])
def test_a_forecast_of_no_place_on_earth_is_refused(forecast_k: float) -> None:
    with pytest.raises(BadInput, match="enter what the forecast says, in degrees"):
        may_freeze(1.200, forecast_k)


def test_a_gravity_without_its_point_freezes_nothing() -> None:
    with pytest.raises(BadInput, match="decimal point"):
        may_freeze(1190.0, 268.15)
