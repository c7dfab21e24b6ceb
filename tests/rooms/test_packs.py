"""A pack file is read whole, and every problem in it is told at once."""

from pathlib import Path

import pytest

from scrubwright.battery.charge_left import FULL_1265, FULL_1280, PUBLISHED_AT_K
from scrubwright.battery.pack import ChargeProfile, Chemistry, Pack
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.instruments import GravityScale
from scrubwright.paperwork.packs import PackReading, pack_from, pack_of_text, read_pack
from scrubwright.paperwork.toml_tables import LARGEST_FILE_BYTES

EXAMPLES = Path(__file__).parents[2] / "examples" / "packs"
HALL = (EXAMPLES / "market_hall_36v.toml").read_text(encoding="utf-8")
AGM = (EXAMPLES / "narrow_agm_24v.toml").read_text(encoding="utf-8")
TRACTION = (EXAMPLES / "wide_traction_24v.toml").read_text(encoding="utf-8")
LITHIUM = (EXAMPLES / "mid_lithium_36v.toml").read_text(encoding="utf-8")


def told(sentences: tuple[Sentence, ...]) -> list[str]:
    return [str(sentence) for sentence in sentences]


def changed(text: str, *changes: tuple[str, str]) -> PackReading:
    """A pack file with some lines changed."""
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return pack_of_text(text, "pack.toml")


def pack_in(reading: PackReading) -> Pack:
    assert (told(reading.wrong), told(reading.missing)) == ([], [])
    assert reading.paper is not None
    return reading.paper.pack


def test_every_example_is_complete() -> None:
    paths = sorted(EXAMPLES.glob("*.toml"))
    packs = [pack_in(read_pack(path)) for path in paths]
    assert [pack.chemistry for pack in packs] == ["flooded", "lithium", "AGM", "flooded"]
    assert [pack.blocks for pack in packs] == [6, 1, 4, 12]


def test_what_is_written_arrives_in_the_units_of_the_records() -> None:
    paper = pack_from(EXAMPLES / "market_hall_36v.toml")
    pack, charger = paper.pack, paper.charger
    assert (pack.cells, pack.rows[1], pack.cut_off_v, pack.capacity_ah) == (18, (12, 11, 10, 9, 8, 7), 1.75, 221)
    assert (pack.rated_k, pack.reference_k) == (298.15, 298.15)
    assert (pack.reserve_l, pack.mark_m, pack.resistance_ohm) == (0.22, 0.003, 0.014)
    assert [(point.depth_fraction, point.life_cycles) for point in pack.life][:2] == [(0.3, 1900), (0.5, 1100)]
    assert pack.family is not None
    assert (pack.family.full_ratio, pack.family.flat_ratio, pack.family.origin) == (1.275, 1.12, Origin.PLATE)
    assert pack.lock_out is not None
    assert (pack.lock_out.voltage_v, pack.lock_out.delay_s) == (31.5, 10)
    assert charger is not None
    assert (charger.profile, charger.main_a, charger.efficiency_fraction) == (ChargeProfile.IUIA, 36, 0.87)
    assert paper.scale is GravityScale.SPECIFIC_GRAVITY


def test_densities_become_specific_gravities_and_the_flat_end_may_hold_a_charge() -> None:
    paper = pack_from(EXAMPLES / "wide_traction_24v.toml")
    assert paper.scale is GravityScale.DENSITY
    family = paper.pack.family
    assert family is not None
    # 1.290 and 1.140 kg/L over water of 0.99705 kg/L; a straight line from there to empty.
    assert family.full_ratio == pytest.approx(1.29382, abs=5e-6)
    assert [round(point.charge_fraction, 6) for point in family.points] == [0, 0.2, 1]
    assert family.points[1].gravity_ratio == pytest.approx(1.14337, abs=5e-6)
    assert family.flat_ratio == pytest.approx(1.10576, abs=5e-6)
    assert paper.pack.reference_k == pytest.approx(303.15)


def test_us_units_say_the_same_as_metric_ones() -> None:
    us = pack_in(
        changed(
            HALL,
            ("\nmark_mm = 3", '\nmark_mm = "0.125 in"'),
            ("reserve_ml = 220", 'reserve_ml = "8 fl oz"'),
            ("reference_temperature_c = 25", 'reference_temperature_c = "80 °F"'),
        )
    )
    assert us.mark_m == pytest.approx(0.003175)
    assert us.reserve_l == pytest.approx(0.236588, abs=1e-6)
    assert us.reference_k == pytest.approx(299.8167, abs=1e-4)


@pytest.mark.parametrize(("name", "family"), [("1.265 table", FULL_1265), ("1.280 table", FULL_1280)])
def test_a_published_table_brings_its_ends_and_its_temperature(name: str, family: object) -> None:
    pack = pack_in(
        changed(
            HALL,
            ('family = "own"', f'family = "{name}"'),
            ("full = 1.275\nflat = 1.120\n", ""),
            ("reference_temperature_c = 25", ""),
        )
    )
    assert pack.family is family
    assert pack.reference_k == PUBLISHED_AT_K


def test_a_published_table_with_ends_of_the_packs_own_is_refused() -> None:
    reading = changed(HALL, ('family = "own"', 'family = "1.265 table"'))
    assert [line.partition(" is given")[0] for line in told(reading.wrong)] == [
        "gravity.full",
        "gravity.flat",
        "gravity.reference_temperature_c",
    ]


def test_origins_tell_label_measured_and_memory_apart() -> None:
    pack = pack_in(changed(HALL, ('measured = ["water.reserve_ml"]', 'measured = ["gravity.full", "capacity.ah"]')))
    assert pack.origin("cut_off_v") is Origin.PLATE
    assert pack.origin("capacities") is Origin.MEASURED
    assert pack.origin("lock_out") is Origin.MEMORY
    assert pack.origin("resistance_ohm") is Origin.MEASURED
    assert pack.family is not None
    assert pack.family.origin is Origin.MEASURED
    remembered = pack_in(changed(HALL, ('"lock_out.delay_s"', '"gravity.flat", "resistance_mohm"')))
    assert remembered.family is not None
    assert remembered.family.origin is Origin.MEMORY
    assert remembered.origin("resistance_ohm") is Origin.MEMORY


@pytest.mark.parametrize(
    "line",
    [
        "full = 1.275\n",
        "flat = 1.120\n",
        "reference_temperature_c = 25\n",
        'scale = "SG"',
        "cut_off_v_per_cell = 1.75\n",
        "rated_temperature_c = 25\n",
        "cells_per_block = 3\n",
        'chemistry = "flooded"',
        "delay_s = 10\n",
    ],
)
def test_what_could_hurt_is_asked_and_never_assumed(line: str) -> None:
    reading = changed(HALL, (line, ""))
    key = line.partition(" ")[0]
    assert reading.paper is None
    assert [text for text in told(reading.missing) if f"{key} is missing: " in text], told(reading.missing)
    assert len(reading.missing) == 1
    assert reading.wrong == ()


def test_a_flooded_pack_without_its_gravity_is_asked_key_by_key() -> None:
    reading = changed(AGM, ('chemistry = "AGM"', 'chemistry = "flooded"'))
    assert [line.partition(" is missing")[0] for line in told(reading.missing)] == ["gravity.family", "gravity.scale"]


def test_lithium_needs_no_cut_off_and_sealed_needs_one() -> None:
    assert pack_in(changed(LITHIUM)).cut_off_v is None
    reading = changed(AGM, ("cut_off_v_per_cell = 1.75\n", ""))
    assert "cut_off_v_per_cell is missing" in told(reading.missing)[0]


def test_all_problems_are_told_at_once() -> None:
    reading = pack_of_text(
        'chemistry = "floded"\ncells = 18\ncell_per_block = 3\nrated_temperature_c = 298\n[[capacity]]\nah = "5 gal"\n'
        "[gravity]\nfull = 1275\n",
        "x.toml",
    )
    assert reading.paper is None
    wrong, missing = told(reading.wrong), told(reading.missing)
    assert 'chemistry is "floded"; it may be: flooded, AGM, gel, lithium.' in wrong
    assert 'Nobody reads "cell_per_block"; did you mean "cells_per_block"?' in wrong
    assert any(line.startswith("rated_temperature_c: 298 looks like kelvin") for line in wrong)
    assert "gravity.full: 1275 is a gravity without its point; write 1.275." in wrong
    assert any(line.startswith('capacity 1.ah is "5 gal", which is not understood.') for line in wrong)
    for key in ("name", "cells_per_block", "capacity 1.over_h"):
        assert any(line.startswith(f"{key} is missing") for line in missing), key


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("full = 1.275", "full = 1275"), "gravity.full: 1275 is a gravity without its point; write 1.275."),
        (("full = 1.275", "full = 12.75"), "gravity.full: 12.75 is no gravity of a cell"),
        (("full = 1.275", "full = 1.1"), "the full one must be higher"),
        (("full = 1.275", 'full = "1,275"'), "thousands or thousandths"),
        (("full = 1.275", 'full = "1.275 SG"'), "Enter a number, without quotes."),
        (("full = 1.275", "full = nan"), "which is no number"),
        (("reference_temperature_c = 25", "reference_temperature_c = 298.15"), "kelvin; enter degrees Celsius, such"),
        (
            ("reference_temperature_c = 25", "reference_temperature_c = 77"),
            'such as 25.0, or write it in quotes as "77',
        ),
        (("rated_temperature_c = 25", 'rated_temperature_c = "77 K"'), "or a text with its unit: °C, °F."),
        (("rated_temperature_c = 25", "rated_temperature_c = -20"), "from 0.0 °C to 50.0 °C"),
        (("cut_off_v_per_cell = 1.75", "cut_off_v_per_cell = 31.5"), "from 1.20 V to 3.40 V"),
        (("cut_off_v_per_cell = 1.75", "cut_off_v_per_cell = 2.5"), "ends a discharge between 1.50 V and 2.00 V"),
        (("voltage_v = 31.5", "voltage_v = 1.75"), "Enter the volts of the whole pack"),
        (("finish_a = 9", "finish_a = 90"), "a charger ends with less than it starts with"),
        (("charge_factor = 1.15", "charge_factor = 115"), "from 1.000 to 1.500"),
        (("efficiency_percent = 87", "efficiency_percent = 0.87"), "from 30.0 % to 100.0 %"),
        (('profile = "IUIa"', 'profile = "IU"'), "IUIa, IUoU, Wa, WoWa"),
        (("cells = 18", "cells = true"), "cells is"),
        (("cells = 18", "cells = 0"), 'cells is "0", which does not fit there'),
        (("cells = 18", "cells = 17"), "must share the cells evenly"),
        (("[1, 2, 3, 4, 5, 6]", "[1, 2, 3, 4, 5, 5]"), "must name each cell from 1 to 18 once"),
        (("over_h = 3\n", "over_h = 5\n"), "Two rated capacities are for the same hours"),
        (("depth_percent = 30", "depth_percent = 0"), "from 1.0 % to 100.0 %"),
        (("[lock_out]", "[lockout]"), 'Nobody reads "lockout"; did you mean "lock_out"?'),
        (("[lock_out]", "[[lock_out]]"), "write [lock_out] on a line of its own"),
        (('"water.reserve_ml"', '"reserve"'), 'measured names "reserve", which is no figure of a pack'),
        (('"water.reserve_ml"', '"name"'), 'measured names "name", which is no figure of a pack'),
    ],
)
def test_a_value_that_cannot_be_is_told_with_what_to_enter(change: tuple[str, str], said: str) -> None:
    reading = changed(HALL, change)
    assert reading.paper is None
    assert any(said in line for line in told(reading.wrong)), told(reading.wrong)


@pytest.mark.parametrize("text", [AGM, LITHIUM])
def test_gravity_and_water_belong_to_flooded_packs_only(text: str) -> None:
    reading = pack_of_text(text + "[water]\nmark_mm = 3\n", "sealed.toml")
    assert ["they belong to flooded packs only" in line for line in told(reading.wrong)] == [True]


def test_letters_that_steer_a_terminal_are_not_repeated() -> None:
    reading = changed(
        HALL,
        ('profile = "IUIa"', 'profile = "\\u001b[31mred"\n"\\u001b[2J" = 1'),
        ("main_a = 36", 'main_a = "\\u001b36"'),
    )
    assert len(reading.wrong) == 3
    assert "\x1b" not in "".join(told(reading.wrong))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfe\x00", "not plain text in UTF-8"),
        (b"#" * (LARGEST_FILE_BYTES + 1), "such a file may be 0.2 MB"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "nested too deep"),
        (b"name = market hall\n", "line 1, column"),
        (b"cut_off_v_per_cell = 1,75\n", "line 1, column"),
        (b"[capacity]\nah = 203\n[[capacity]]\n", "line 3, column"),
    ],
)
def test_a_file_that_is_no_pack_is_refused(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "pack.toml"
    path.write_bytes(content)
    with pytest.raises(UnreadablePaper, match=said):
        read_pack(path)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match=r"There is no file .*none\.toml"):
        read_pack(tmp_path / "none.toml")


def test_a_pack_that_must_be_complete_tells_the_first_thing_to_mend(tmp_path: Path) -> None:
    path = tmp_path / "part.toml"
    path.write_text('chemistry = "gel"\n', encoding="utf-8")
    with pytest.raises(UnreadablePaper, match=r"things to mend: \d+\. The first: name is missing"):
        pack_from(path)


def test_a_windows_file_with_a_mark_at_its_start_is_read(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TRACTION.replace("\n", "\r\n").encode())
    assert read_pack(path) == pack_of_text(TRACTION, "traction.toml")
    assert pack_in(read_pack(path)).chemistry is Chemistry.FLOODED
