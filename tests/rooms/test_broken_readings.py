"""Each thing that can be wrong with a table of readings gets its own sentence, with its place and what to enter."""

from collections.abc import Mapping

import pytest

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.readings import MOST_TOLD
from scrubwright.paperwork.readings_sheet import MOST_COLUMNS, MOST_ROWS
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.readings_example import (
    AGM,
    CELLS,
    CHARGED,
    HALL,
    LITHIUM,
    one_row,
    only_problem,
    read,
    refused,
    table,
)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"cell_3": "1265"}, "column cell_3: 1265 is a gravity without its point; write 1.265."),
        ({"cell_3": "1280"}, "write 1.280."),
        ({"cell_3": "12.65"}, "column cell_3: 12.65 is no gravity of a cell; a hydrometer shows from 1.050 to 1.350"),
        ({"cell_3": "0"}, "column cell_3: 0 is no gravity of a cell"),
        ({"cell_3": "x"}, 'column cell_3: "x" is no number. Write only the number; its unit stands in the name'),
        ({"cell_3": "1.265 SG"}, '"1.265 SG" is no number'),
        ({"cell_3": "nan"}, '"nan" is no number'),
        ({"cell_3": "1e3"}, '"1e3" is no number'),
        ({"temperature_c": "295"}, "column temperature_c: 295 looks like kelvin; enter degrees Celsius, such as 21.9."),
        ({"temperature_c": "77"}, "77 looks like degrees Fahrenheit; enter degrees Celsius, such as 25.0, or call the"),
        ({"temperature_c": "-30"}, "-30 is no temperature of electrolyte; it is from -20.0 °C to 60.0 °C."),
        ({"temperature_c": ""}, "row 2: The gravities of 2026-04-03 have no electrolyte temperature."),
        ({"meter_h": "-3"}, "column meter_h: -3 is below zero. Write the number without its sign, or leave"),
        ({"meter_h": "1.234.567"}, '"1.234.567" may mean thousands or thousandths.'),
        ({"meter_h": "1 234"}, '"1 234" may mean thousands or thousandths.'),
        ({"meter_h": "74000000"}, "is more than 200,000.00 h, the most that can be."),
        ({"meter_h": "12:30"}, '"12:30" is no number'),
        ({"rested_h": "-1"}, "column rested_h: -1 is below zero."),
        ({"rested_v": "6.3"}, "6.30 V does not go with 18 cells in series, which show from 27.00 V to 48.60 V."),
        ({"rested_v": "-38"}, "-38.00 V does not go with 18 cells"),
        ({"water_ml": "-5"}, "column water_ml: -5 is below zero."),
        ({"water_ml": "150000"}, "is more than 40 L"),
        ({"idle_v": "38"}, "row 2 holds 1 of the four readings under load"),
        ({"moment": ""}, "row 2 has no moment; write after charge, after work, or in between under moment."),
        ({"moment": "later"}, '"later" is not known here; it may be: after charge, after work, in between.'),
        ({"event": "kicked"}, "it may be: new pack, new cell, equalised, watered, ran out."),
        ({"date": ""}, "row 2 has no date; write its day as 2026-04-03."),
        ({"date": "03/04/2026"}, '"03/04/2026" may be 2026-04-03 or 2026-03-04. Write the year first'),
        ({"date": "3.4.2026"}, '"3.4.2026" may be 2026-04-03 or 2026-03-04.'),
        ({"date": "2026-02-30"}, '"2026-02-30" is no day of this pack.'),
        ({"date": "0026-04-03"}, '"0026-04-03" is no day of this pack.'),
        ({"date": "03/04/26"}, '"03/04/26" is no day or time that can be read.'),
        ({"date": "46115"}, '"46115" is no day or time that can be read. Write days as 2026-04-03'),
        ({"date": "April 3"}, '"April 3" is no day or time'),
        ({"date": "06:30"}, "a time stands where the day belongs."),
        ({"date": "2026-05-02"}, "column date: 2026-05-02 has not come yet; today is 2026-05-01."),
        ({"time": "2026-04-03"}, "a day stands where the time belongs."),
        ({"time": "25:00"}, '"25:00" is no day or time'),
        ({"time": "14:30 pm"}, '"14:30 pm" is no day or time'),
        ({"plugged_in": "yesterday"}, "column plugged_in"),
        ({"plugged_in": "2026-04-02"}, "column plugged_in is a day without its time."),
        ({"plugged_in": "2026-04-03 08:00"}, "2026-04-03 08:00 is later than 2026-04-03 06:30, which must come after"),
        ({"time": "", "finished": "05:40"}, "is a time without its day, and the visit has no time"),
        ({"charge_percent": "80"}, "its display only guesses from volts."),
    ],
)
def test_one_wrong_cell_is_told_with_its_place_and_what_to_enter(changes: Mapping[str, str], said: str) -> None:
    problem = only_problem(one_row(changes))
    assert problem.startswith("pack.csv")
    assert said in problem


@pytest.mark.parametrize(
    ("separator", "meter", "said"),
    [
        (";", "1.265", "may mean thousands or thousandths"),
        ("\t", "1,265", "may mean thousands or thousandths"),
        (";", "1.265,5", "may mean thousands or thousandths"),
    ],
)
def test_a_number_that_can_be_read_in_two_ways_is_asked_for(separator: str, meter: str, said: str) -> None:
    assert said in only_problem(table({**CHARGED, "meter_h": meter}, separator=separator))


@pytest.mark.parametrize(
    ("separator", "meter", "meter_h"), [(";", "1264,5", 1264.5), (";", "1,265", 1.265), ("\t", "1264,5", 1264.5)]
)
def test_a_decimal_comma_that_can_be_read_in_one_way_is_taken(separator: str, meter: str, meter_h: float) -> None:
    assert read(table({**CHARGED, "meter_h": meter}, separator=separator)).visits[0].meter_h == meter_h


def test_gravities_with_a_decimal_comma_are_taken_where_commas_part_no_columns() -> None:
    cells = dict.fromkeys(CELLS, "1,265")
    for separator in (";", "\t"):
        assert read(table({**CHARGED, **cells}, separator=separator)).visits == read(one_row({})).visits


def test_a_quoted_decimal_comma_between_commas_is_asked_for() -> None:
    problem = only_problem(one_row({"cell_3": '"1,265"'}))
    assert '"1,265" may be one number with a decimal comma, or two. Write it with a point, or save the file' in problem


def test_bare_decimal_commas_between_commas_make_a_row_too_long() -> None:
    problem = only_problem(one_row({"cell_3": "1,265"}))
    assert "row 2 has more entries than there are columns. Where numbers have a decimal comma" in problem


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (one_row({}).replace("cell_7", "cell_6"), "the columns cell_6 and cell_6 hold the same thing; keep one."),
        (one_row({"fecha": "2026-04-03"}), "the columns date and fecha hold the same thing; keep one."),
        (one_row({"temperature_f": "70"}), "temperature_c and temperature_f are one thing in two units; keep one."),
        (
            one_row({"temprature": "70"}),
            'nobody reads the column "temprature"; did you mean "temperature_f" / "temperature_c"?',
        ),
        (one_row({"block_1": "6.3"}), 'nobody reads the column "block_1"; did you mean "block_1_v"?'),
        (one_row({"colour": "red"}), 'nobody reads the column "colour". Take it out, or put what it says under note.'),
        (one_row({"": "red"}), "column 23 has no name but holds entries; name it, or empty it."),
        (one_row({}, without=("moment",)), "has no column moment: after charge, after work, or in between."),
        (one_row({}, without=("date", "time")), "has no column date: the day of each visit"),
        (one_row({}, without=("temperature_c",)), "holds gravities and no temperature of the electrolyte."),
        (one_row({}, without=("cell_18",)), "needs beside the ones it has: cell_18. Add them, and leave empty"),
        (one_row({"cell_19": ""}), "has columns up to cell_19, but Market hall, 36 V has 18 cells in 6 blocks."),
        (one_row({"block_1_v": "6.3"}), "beside the ones it has: block_2_v, block_3_v, block_4_v, block_5_v, ..."),
    ],
)
def test_a_wrong_header_is_told_once_for_the_whole_file(text: str, said: str) -> None:
    assert any(said in problem for problem in refused(text)), refused(text)


def test_a_pack_of_twelve_cells_is_told_from_one_of_eighteen() -> None:
    twelve = one_row({}, without=tuple(f"cell_{number}" for number in range(13, 19)))
    assert "cell_13, cell_14, cell_15, cell_16, ..." in only_problem(twelve)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {f"block_{number}_v": "6.3" for number in range(1, 7)} | {"block_4_v": ""},
            "holds volts of 5 blocks; the pack",
        ),
        (
            {f"block_{number}_v": "6.3" for number in range(1, 7)} | {"block_4_v": "63"},
            "63.00 V does not go with 3 cells",
        ),
        ({f"temperature_{number}_c": "21" for number in range(1, 19)}, "and temperature_1_c both hold a temperature"),
        (
            {"temperature_c": ""}
            | {f"temperature_{number}_c": "21" for number in range(1, 18)}
            | {"temperature_18_c": ""},
            "holds temperatures of 17 cells; the pack has 18.",
        ),
        ({"idle_v": "36", "idle_a": "1", "load_v": "38", "load_a": "67"}, "row 2: Under load the pack shows 38.00 V"),
        ({"idle_v": "38", "idle_a": "-1", "load_v": "36", "load_a": "67"}, "column idle_a: -1 is below zero."),
        ({"idle_v": "38", "idle_a": "1", "load_v": "3.6", "load_a": "67"}, "3.60 V does not go with 18 cells"),
        ({"plugged_in": "2026-04-02 21:00", "finished": "2026-04-02 20:00"}, "is later than 2026-04-02 20:00"),
    ],
)
def test_readings_that_do_not_go_together_are_told(changes: Mapping[str, str], said: str) -> None:
    assert said in only_problem(one_row(changes))


def test_a_sealed_pack_has_no_gravities_no_water_and_no_caps() -> None:
    cells = {f"cell_{number}": "1.265" for number in range(1, 13)}
    row = {"date": "2026-04-03", "moment": "after charge", "temperature_c": "21", **cells, "water_ml": "100"}
    _, *problems = refused(table(row), AGM)
    assert len(problems) == 2
    assert "it has no electrolyte that a hydrometer can draw, and opening it ruins it." in problems[0]
    assert "takes none" in problems[1]


@pytest.mark.parametrize("share", ["0.8", "1"])
def test_a_share_of_one_is_no_percentage(share: str) -> None:
    row = {"date": "2026-04-03", "moment": "after charge", "charge_percent": share}
    problem = only_problem(table(row), LITHIUM)
    assert f"{share} is a share of one, or nearly nothing. Write percent: {float(share) * 100:g} for the one" in problem


def test_a_row_with_a_day_and_nothing_read_is_told() -> None:
    problem = only_problem(table(CHARGED, {"date": "2026-04-10", "moment": "after charge", "note": "forgot"}))
    assert problem == "pack.csv, row 3 has a day and no reading; fill it in, or delete the row."


def test_the_same_visit_twice_is_told() -> None:
    problem = only_problem(table(CHARGED, CHARGED))
    assert problem == "pack.csv: rows 2 and 3 have one day and time; delete one, or correct it."


def test_problems_of_one_kind_are_told_once_with_their_count() -> None:
    rows = [{**CHARGED, **dict.fromkeys(CELLS, "1265"), "date": f"2026-04-{day:02d}"} for day in range(1, 21)]
    first, problem = refused(table(*rows))
    assert first == "pack.csv cannot be used yet. Things to mend: 360."
    assert problem == (
        "pack.csv, row 2, column cell_1: 1265 is a gravity without its point; write 1.265. Places like this: 360."
    )


def test_all_problems_are_told_at_once_up_to_a_dozen() -> None:
    row = {
        "time": "25:00",
        "date": "03/04/2026",
        "moment": "",
        "event": "kicked",
        "meter_h": "-1",
        "rested_h": "x",
        "temperature_c": "295",
        "cell_1": "1265",
        "cell_2": "9",
        "cell_3": "1.000.000",
        "rested_v": "6",
        "idle_v": "38",
        "water_ml": "1000000",
    }
    said = refused(one_row(row))
    assert said[0].endswith("Things to mend: 13.")
    assert len(said) == 1 + MOST_TOLD + 1
    assert said[-1] == "and 1 more"


def test_nothing_is_half_read() -> None:
    with pytest.raises(UnreadablePaper):
        read(table(CHARGED, {**CHARGED, "date": "2026-04-10", "cell_1": "1265"}))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty. Take a blank"),
        (b"\n\n ; ; \n", "is empty. Take a blank"),
        (one_row({}).splitlines()[0].encode(), "names its columns but holds no reading."),
        (table(dict.fromkeys(CHARGED, "") | {"note": "x"}).encode(), "names its columns but holds no reading."),
        (b"date moment\n2026-04-03 later\n", "has no columns: its first row must name them"),
        (b"\x00\x01\x02\x03", "is no text and no workbook."),
        (b"\x81\x8d,\x8f\n", "is no text and no workbook."),
        (b'date,moment,rested_v\n2026-04-03,"after charge,38\n2026-04-04,after work,37\n', "row 2: a quote is opened"),
        (b"date," * (MOST_COLUMNS + 1) + b"x\n1\n", f"has more than {MOST_COLUMNS} columns"),
        (b"date,moment\n" + b"2026-04-03,\n" * (MOST_ROWS + 1), "has more than 5000 rows."),
    ],
)
def test_a_file_that_holds_no_table_is_refused(content: bytes, said: str) -> None:
    with pytest.raises(UnreadablePaper) as refusal:
        read(content)
    assert said in str(refusal.value)


def test_empty_rows_below_the_readings_are_no_readings() -> None:
    assert len(read(one_row({}) + "," * 21 + ("\n" + "," * 21) * (MOST_ROWS + 10)).visits) == 1


def test_letters_that_steer_a_terminal_are_not_repeated() -> None:
    said = "".join(refused(one_row({"cell_3": "\x1b[31m", "\x1b[2J": "1", "date": "\x1b]0;x\x07"})))
    assert "\x1b" not in said
    assert "\x07" not in said


def test_every_problem_is_told_in_spanish() -> None:
    with pytest.raises(UnreadablePaper) as refusal:
        read(one_row({"cell_3": "1265", "moment": "later"}), HALL)
    said = Teller(language=Language.SPANISH).tell(refusal.value.sentence)
    assert said.startswith("pack.csv todavía no se puede usar. Cosas por arreglar: 2.")
    assert "fila 2, columna cell_3: 1265 es una densidad sin su punto; escriba 1.265." in said
    assert "puede ser: después de cargar, después de trabajar, entre medias." in said
