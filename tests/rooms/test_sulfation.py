"""Sulfation: which signs make it likely."""

import pytest

from scrubwright.battery.sulfation import SulfationSigns, is_low_after_long_charge, looks_sulfated, signs_told
from scrubwright.measures.errors import BadInput


def test_low_gravity_and_one_more_sign_speak_for_it() -> None:
    signs = SulfationSigns(low_after_long_charge=True, gasses_early=True)
    assert looks_sulfated(signs)
    assert [str(sign) for sign in signs_told(signs)] == [
        "gravity is low after a long charge",
        "it gasses long before it is full",
    ]


def test_low_gravity_alone_may_be_thin_acid() -> None:
    assert not looks_sulfated(SulfationSigns(low_after_long_charge=True))


def test_other_signs_alone_may_be_age() -> None:
    assert not looks_sulfated(
        SulfationSigns(high_volts_at_start=True, gasses_early=True, runs_hot=True, pale_plates=True, capacity_gone=True)
    )


@pytest.mark.parametrize(
    ("median_ratio", "charge_h", "is_low"),
    [(1.260, 12.0, True), (1.260, 6.0, False), (1.270, 12.0, False), (1.290, 12.0, False)],
)
def test_low_means_fifteen_points_under_full_after_ten_hours(
    median_ratio: float, charge_h: float, is_low: bool
) -> None:
    assert is_low_after_long_charge(median_ratio, 1.280, charge_h) is is_low


@pytest.mark.parametrize("bad", [(0.0, 1.28, 10.0), (1.26, float("nan"), 10.0), (1.26, 1.28, -1.0)])
def test_impossible_values_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        is_low_after_long_charge(*bad)
