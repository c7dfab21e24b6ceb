"""A plate file is read whole, and every problem in it is told at once."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from scrubwright.floor.vehicle import Vehicle
from scrubwright.machine.deck import DeckKind
from scrubwright.machine.driving import Driving, driving
from scrubwright.machine.parts import HeavyPart, Option
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.plates import PlateReading, plate_from, read_plate, reading_of_text
from scrubwright.paperwork.toml_tables import LARGEST_FILE_BYTES

EXAMPLES = Path(__file__).parents[2] / "examples" / "plates"
MID = (EXAMPLES / "mid_cylindrical_080.toml").read_text(encoding="utf-8")


def told(sentences: tuple[Sentence, ...]) -> list[str]:
    return [str(sentence) for sentence in sentences]


def changed(*changes: tuple[str, str]) -> PlateReading:
    """The mid machine with some lines changed."""
    text = MID
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return reading_of_text(text, "mid.toml")


def test_every_example_is_complete_and_assumes_nothing_that_hurts() -> None:
    paths = sorted(EXAMPLES.glob("*.toml"))
    assert len(paths) == 3
    for path in paths:
        reading = read_plate(path)
        assert (told(reading.missing), told(reading.wrong), told(reading.assumed)) == ([], [], [])
        assert reading.plate is not None
        assert {weight.part for weight in reading.plate.weights} == set(HeavyPart)


def test_what_is_written_arrives_in_the_units_of_the_records() -> None:
    plate = plate_from(EXAMPLES / "wide_disc_105.toml")
    assert (plate.deck.kind, plate.deck.scrub_width_m, plate.deck.side_brush_width_m) == (DeckKind.DISC, 1.05, 0.22)
    assert plate.speeds.transport_m_per_s == pytest.approx(8 / 3.6)
    assert plate.slopes.work_fraction == pytest.approx(0.08)
    assert plate.squeegee.swing_rad == pytest.approx(0.20944, abs=1e-5)
    assert [step.brush_current_a for step in plate.deck.pressure] == [40, 55, 74]
    assert plate.flow.flow_l_per_min == 3.6
    assert Option.SIDE_BRUSH in plate.options
    assert [meter.counts for meter in plate.meters] == ["key", "traction", "brush", "vacuum"]


def test_a_vehicle_takes_every_figure_that_driving_gives() -> None:
    assert [each.name for each in fields(Driving)] == [each.name for each in fields(Vehicle)]
    figures = driving(plate_from(EXAMPLES / "narrow_disc_055.toml"))
    vehicle = Vehicle(**{each.name: getattr(figures, each.name) for each in fields(Driving)})
    assert vehicle.pitch_m == pytest.approx(0.50)
    assert vehicle.body_width_m == 0.76
    # Foremost point 0.76 + 0.16 m ahead of the rear axle, the deck 0.42 m.
    assert vehicle.front_m == pytest.approx(0.50)


def test_us_units_say_the_same_as_metric_ones() -> None:
    metric = changed(("solution_l = 110", "solution_l = 113.5623535")).plate
    us = changed(
        ("solution_l = 110", 'solution_l = "30 gal"'),
        ("scrub_width_m = 0.80", 'scrub_width_m = "31 1/2 in"'),
        ("working_km_per_h = 5.0", 'working_km_per_h = "3 mph"'),
    ).plate
    assert metric is not None
    assert us is not None
    assert us.tanks.solution_l == pytest.approx(metric.tanks.solution_l)
    assert us.deck.scrub_width_m == pytest.approx(0.8001)
    assert us.speeds.working_m_per_s == pytest.approx(1.34112)


def test_origins_tell_plate_measured_memory_and_common_practice_apart() -> None:
    plate = changed(("overlap_m = 0.05", ""), ("measured = [", 'from_memory = ["body.height_m"]\nmeasured = [')).plate
    assert plate is not None
    assert plate.origin("deck.scrub_width_m") is Origin.PLATE
    assert plate.origin("speeds.working_m_per_s") is Origin.MEASURED
    assert plate.origin("body.height_m") is Origin.MEMORY
    assert plate.origin("deck.overlap_m") is Origin.COMMON_PRACTICE
    assert plate.deck.overlap_m == 0.05


def test_what_common_practice_fills_in_is_said() -> None:
    reading = changed(("fill_l_per_min = 16", ""), ("clearance_m = 0.05", ""))
    assert [line.split(";")[0] for line in told(reading.assumed)] == [
        "body.clearance_m is not given",
        "service.fill_l_per_min is not given",
    ]
    assert reading.plate is not None
    assert reading.plate.service.fill_l_per_min == 15.0


def test_minutes_to_fill_become_the_flow_of_the_hose() -> None:
    plate = changed(("fill_l_per_min = 16", "fill_min = 5")).plate
    assert plate is not None
    # 110 L in 5 min.
    assert plate.service.fill_l_per_min == pytest.approx(22.0)


@pytest.mark.parametrize("slope", ["max_work_slope_percent", "max_transport_slope_percent", "max_park_slope_percent"])
def test_a_slope_limit_is_asked_and_never_assumed(slope: str) -> None:
    reading = reading_of_text(re.sub(rf"^{slope} = \d+$", "", MID, flags=re.MULTILINE), "mid.toml")
    assert reading.plate is None
    assert len(reading.missing) == 1
    assert str(reading.missing[0]).startswith(f"slopes.{slope} is missing: Steepest slope")
    assert "never a guess" in str(reading.missing[0])


def test_all_problems_are_told_at_once() -> None:
    reading = reading_of_text(
        '[deck]\nkind = "dsic"\nscrub_width = 0.8\nscrub_width_m = "320 in"\n[tanks]\nsolution_l = "5 ft"\n', "x.toml"
    )
    assert reading.plate is None
    wrong = told(reading.wrong)
    assert 'deck.kind is "dsic"; it may be: disc, cylindrical, orbital.' in wrong
    assert 'Nobody reads "deck.scrub_width"; did you mean "deck.scrub_width_m"?' in wrong
    assert any(line.startswith("deck.scrub_width_m is 8.13 m; a ride-on scrubber has from 0.30 m") for line in wrong)
    assert any(line.startswith('tanks.solution_l is "5 ft", which is not understood.') for line in wrong)
    missing = told(reading.missing)
    for key in ("name", "squeegee.width_m", "slopes.max_park_slope_percent", "water.default_flow", "water.flow"):
        assert any(line.startswith(f"{key} is missing") for line in missing), key
    assert any(line.startswith("deck.ahead_of_rear_axle_m is missing: From the rear axle forward") for line in missing)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("scrub_width_m = 0.80", "scrub_width_m = nan"), "which is no number"),
        (("scrub_width_m = 0.80", "scrub_width_m = true"), "does not fit there"),
        (("scrub_width_m = 0.80", "scrub_width_m = [0.8]"), "does not fit there"),
        (("scrub_width_m = 0.80", 'scrub_width_m = "0,800 m"'), "thousands or thousandths"),
        (("solution_l = 110", "solution_l = 0"), "from 20 L to 1,000 L"),
        (("width_m = 1.06", "width_m = 0.82"), "must reach past both ends of the deck"),
        (("overlap_m = 0.05", "overlap_m = 0.5\nside_brush_width_m = 9"), "side_brush_width_m is 9.00 m"),
        (("turning_aisle_m = 2.10", "turning_aisle_m = 1.60"), "even to turn on the spot"),
        (("length_m = 1.66", "length_m = 1.30"), "adds up to 1.66 m, but the machine is 1.30 m long"),
        (('default_flow = "normal"', 'default_flow = "midle"'), "the plate has: low, normal, high"),
        (("down_force_kg = 60", "down_force_kg = 20"), "not in order"),
        (('name = "high"\nflow', 'name = "low"\nflow'), "Two flow settings have one name"),
        (("fill_l_per_min = 16", "fill_l_per_min = 16\nfill_min = 7"), "keep the one that you measured"),
        (("digits = 5", "digits = 9"), "meter 1.digits"),
        (('part = "battery"', 'part = "driver"'), "Two weights are given for one part"),
        (("[speeds]", "[speed]"), 'Nobody reads "speed"; did you mean "speeds"?'),
        (("[[meter]]", "[meter]"), "cannot be read"),
        (("wheelbase_m = 0.98", "wheelbase_m = 0,98"), "cannot be read"),
        (('"speeds.working_km_per_h"', '"speed.working"'), 'did you mean "speeds.working_km_per_h"?'),
        (('options = ["sweep hopper"', 'options = ["rocket"'), "sweep hopper"),
    ],
)
def test_a_value_that_cannot_be_is_told_with_what_to_enter(change: tuple[str, str], said: str) -> None:
    reading = changed(change)
    assert reading.plate is None
    assert any(said in line for line in told(reading.wrong) + told(reading.missing)), told(reading.wrong)


def test_a_half_given_swing_is_refused() -> None:
    reading = changed(("behind_rear_axle_m = 0.46", "behind_rear_axle_m = 0.46\nswing_degrees = 12"))
    assert told(reading.wrong) == [
        "A swinging squeegee needs both its pivot and how far it swings; enter both, or neither."
    ]


def test_letters_that_steer_a_terminal_are_not_repeated() -> None:
    reading = changed(('kind = "cylindrical"', 'kind = "\\u001b[31mred"\n"\\u001b[2J" = 1'))
    assert reading.plate is None
    assert "\x1b" not in "".join(told(reading.wrong))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfe\x00", "not plain text in UTF-8"),
        (b"#" * (LARGEST_FILE_BYTES + 1), "such a file may be 0.2 MB"),
    ],
)
def test_a_file_that_is_no_plate_is_refused(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "plate.toml"
    path.write_bytes(content)
    with pytest.raises(UnreadablePaper, match=said):
        read_plate(path)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match=r"There is no file .*none\.toml"):
        read_plate(tmp_path / "none.toml")


def test_a_plate_that_must_be_complete_tells_the_first_thing_to_mend(tmp_path: Path) -> None:
    path = tmp_path / "part.toml"
    path.write_text('name = "Part"\n', encoding="utf-8")
    with pytest.raises(UnreadablePaper, match=r"things to mend: \d+\. The first: deck\.kind is missing"):
        plate_from(path)


def test_deep_nesting_is_refused_in_words() -> None:
    reading = reading_of_text("a = " + "[" * 5000 + "]" * 5000, "deep.toml")
    assert reading.plate is None
    assert reading.wrong


def test_a_windows_file_with_a_mark_at_its_start_is_read(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + MID.replace("\n", "\r\n").encode())
    assert read_plate(path).plate == reading_of_text(MID, "mid.toml").plate
