"""Good tables of readings become visits, in whatever way people write them."""

from datetime import date, datetime

import pytest

from scrubwright.battery.visit import Event, Moment, VoltsUnderLoad
from tests.rooms.readings_example import AGM, CELLS, CHARGED, HALL, LITHIUM, TRACTION, one_row, read, table


def test_a_row_becomes_a_visit_in_the_units_of_the_records() -> None:
    (visit,) = read(
        one_row(
            {
                "meter_h": "1234.5",
                "rested_h": "7",
                "cell_4": "",
                "rested_v": "38.1",
                **{f"block_{number}_v": "6.35" for number in range(1, 7)},
                "idle_v": "38.0",
                "idle_a": "1.2",
                "load_v": "36.2",
                "load_a": "67.5",
                "water_ml": "1500",
                "plugged_in": "21:15",
                "finished": "05:40",
                "event": "watered",
                "note": "caps cleaned, =1+1",
            }
        ).replace("caps cleaned, =1+1", '"caps cleaned, =1+1"')
    ).visits
    assert visit.at == datetime(2026, 4, 3, 6, 30)
    assert visit.moment is Moment.CHARGED
    assert (visit.meter_h, visit.rested_h, visit.rested_v, visit.water_l) == (1234.5, 7, 38.1, 1.5)
    assert visit.gravities_ratio == (1.265,) * 3 + (None,) + (1.265,) * 14
    assert visit.electrolyte_k == pytest.approx((294.65,))
    assert visit.blocks_v == (6.35,) * 6
    assert visit.under_load == VoltsUnderLoad(idle_v=38.0, idle_a=1.2, load_v=36.2, load_a=67.5)
    assert visit.plugged_in_at == datetime(2026, 4, 2, 21, 15)
    assert visit.finished_at == datetime(2026, 4, 3, 5, 40)
    assert visit.event is Event.WATERED


def test_what_was_not_read_is_none() -> None:
    (visit,) = read(table({"date": "2026-04-03", "moment": "in between", "rested_v": "37.9"})).visits
    assert (visit.meter_h, visit.gravities_ratio, visit.electrolyte_k, visit.under_load) == (None, (), (), None)
    assert (visit.plugged_in_at, visit.finished_at, visit.event) == (None, None, None)


def test_a_spanish_table_with_semicolons_and_decimal_commas_says_the_same() -> None:
    row = {"fecha": "2026-04-03", "hora": "6:30", "momento": "Después de cargar", "temperatura_c": "21,5"}
    cells = {f"vaso_{number}": "1,265" for number in range(1, 19)}
    more = {"contador_h": "1234,5", "con_carga_v": "36,2", "evento": "igualada"}
    rest = {"con_carga_a": "67,5", "sin_carga_v": "38", "sin_carga_a": "1,2"}
    spanish = table({**row, **cells, **more, **rest}, separator=";")
    english = one_row(
        {"meter_h": "1234.5", "load_v": "36.2", "load_a": "67.5", "idle_v": "38", "idle_a": "1.2"}
        | {"event": "equalized"}
    )
    assert read(spanish).visits == read(english).visits


@pytest.mark.parametrize(
    ("date", "moment", "event", "said"),
    [
        ("date", "moment", "event", ("after work", "ran out")),
        ("fecha", "momento", "evento", ("después de trabajar", "agotada")),
    ],
)
def test_a_pack_that_ran_out_is_said_so_in_both_languages(
    date: str, moment: str, event: str, said: tuple[str, str]
) -> None:
    (visit,) = read(table({date: "2026-04-03", moment: said[0], event: said[1]})).visits
    assert (visit.moment, visit.event) == (Moment.WORKED, Event.RAN_OUT)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_every_usual_encoding_is_read(encoding: str) -> None:
    row = {"fecha": "2026-04-03", "momento": "después de trabajar", "reposo_v": "37.1", "nota": "señal"}
    assert read(table(row, separator=";").encode(encoding)).visits[0].moment is Moment.WORKED


@pytest.mark.parametrize(
    ("separator", "ending"), [(",", "\n"), (";", "\r\n"), ("\t", "\r\n")], ids=["comma", "semicolon", "tab"]
)
def test_every_usual_separator_and_line_end_is_read(separator: str, ending: str) -> None:
    text = table(CHARGED, separator=separator).replace("\n", ending)
    assert read(text).visits == read(one_row({})).visits


def test_a_hint_for_spreadsheet_programs_and_empty_rows_are_passed_over() -> None:
    header, row = table(CHARGED, separator=";").splitlines()
    empty = ";" * header.count(";")
    text = "\n".join(["sep=;", "", header, empty, row, "", empty]) + "\n"
    assert len(read(text).visits) == 1
    problem_row = text.replace("1.265", "1265", 1)
    with pytest.raises(Exception, match=r"pack\.csv, row 5, column cell_1: 1265"):
        read(problem_row)


def test_names_of_columns_forgive_capitals_accents_and_spaces() -> None:
    row = {"Date": "2026-04-03", "MOMENT": "AFTER  work", "Rested V": "37.9", "meter-h": "12"}
    (visit,) = read(table(row)).visits
    assert (visit.moment, visit.rested_v, visit.meter_h) == (Moment.WORKED, 37.9, 12)


def test_a_hydrometer_in_density_reads_as_specific_gravity() -> None:
    row = {"date": "2026-04-03", "moment": "after charge", "temperature_c": "30"}
    cells = {f"cell_{number}": "1.280" for number in range(1, 13)}
    (visit,) = read(table({**row, **cells}), TRACTION).visits
    # 1.280 kg/L over water of 0.99705 kg/L.
    assert visit.gravities_ratio == pytest.approx((1.28379,) * 12, abs=5e-6)


def test_fahrenheit_and_ounces_are_read_under_their_own_names() -> None:
    text = one_row({"temperature_f": "80", "water_fl_oz": "64"}, without=("temperature_c",))
    (visit,) = read(text).visits
    assert visit.electrolyte_k == pytest.approx((299.8167,), abs=1e-4)
    # Half a US gallon.
    assert visit.water_l == pytest.approx(1.892706, abs=1e-6)


def test_a_temperature_of_each_cell_is_kept_cell_by_cell() -> None:
    degrees = {f"temperature_{number}_c": f"{20 + number}" for number in range(1, 19)}
    (visit,) = read(one_row(degrees, without=("temperature_c",))).visits
    assert visit.electrolyte_k == pytest.approx(tuple(293.15 + number for number in range(1, 19)))


def test_sealed_and_lithium_packs_have_their_own_columns() -> None:
    row = {"date": "2026-04-03", "moment": "after charge", "rested_v": "25.7"}
    blocks = {f"block_{number}_v": "6.42" for number in range(1, 5)}
    assert read(table({**row, **blocks, "temperature_f": "77"}), AGM).visits[0].blocks_v == (6.42,) * 4
    (visit,) = read(table({**row, "rested_v": "39.6", "charge_percent": "97"}), LITHIUM).visits
    assert (visit.charge_fraction, visit.rested_v) == (0.97, 39.6)


def test_empty_columns_of_gravities_do_a_sealed_pack_no_harm() -> None:
    row = {"date": "2026-04-03", "moment": "after charge", "rested_v": "25.7", "cell_1": "", "water_ml": ""}
    assert read(table(row), AGM).visits[0].gravities_ratio == ()


@pytest.mark.parametrize(
    ("plugged_in", "finished", "from_to"),
    [
        ("21:15", "05:40", ("2026-04-02 21:15", "2026-04-03 05:40")),
        ("00:10", "06:30", ("2026-04-03 00:10", "2026-04-03 06:30")),
        ("9:15 PM", "5:40 am", ("2026-04-02 21:15", "2026-04-03 05:40")),
        ("21h15", "7:00", ("2026-04-01 21:15", "2026-04-02 07:00")),
        ("2026-03-30 21:15", "2026-03-31 5:40", ("2026-03-30 21:15", "2026-03-31 05:40")),
        ("21:15", "2026-03-31 05:40", ("2026-03-30 21:15", "2026-03-31 05:40")),
    ],
)
def test_a_time_alone_is_the_last_one_before_the_visit(
    plugged_in: str, finished: str, from_to: tuple[str, str]
) -> None:
    (visit,) = read(one_row({"plugged_in": plugged_in, "finished": finished})).visits
    assert [str(visit.plugged_in_at)[:16], str(visit.finished_at)[:16]] == list(from_to)


@pytest.mark.parametrize(
    "day",
    ["2026-04-23", "2026/4/23", "2026.04.23", "23/04/2026", "04/23/2026", "23.04.2026", "2026-04-23 06:30"],
)
def test_a_day_that_can_be_read_in_one_way_only_is_taken(day: str) -> None:
    (visit,) = read(one_row({"date": day})).visits
    assert visit.at == datetime(2026, 4, 23, 6, 30)


def test_the_time_may_stand_with_the_day() -> None:
    (visit,) = read(one_row({"date": "2026-04-03T07:45:10"}, without=("time",))).visits
    assert visit.at == datetime(2026, 4, 3, 7, 45)


def test_rows_out_of_order_are_put_in_order_with_a_warning() -> None:
    rows = [{**CHARGED, "date": day} for day in ("2026-04-10", "2026-04-03", "2026-04-17")]
    readings = read(table(*rows))
    assert [visit.at.day for visit in readings.visits] == [3, 10, 17]
    (warning,) = readings.warnings
    assert str(warning).startswith("pack.csv: the rows are not in the order of their days, first at row 3; they were")


def test_a_meter_that_runs_backwards_is_kept_with_a_warning() -> None:
    rows = [
        {**CHARGED, "date": "2026-04-03", "meter_h": "1240"},
        {**CHARGED, "date": "2026-04-10"},
        {**CHARGED, "date": "2026-04-17", "meter_h": "1204"},
    ]
    readings = read(table(*rows))
    assert [visit.meter_h for visit in readings.visits] == [1240, None, 1204]
    (warning,) = readings.warnings
    assert str(warning).startswith("pack.csv, row 4: the meter shows 1,204.00 h, and 1,240.00 h at the visit before.")


def test_visits_without_a_time_stand_at_noon_and_keep_the_order_of_their_rows() -> None:
    rows = [{**CHARGED, "time": ""}, {**CHARGED, "time": "", "moment": "after work"}]
    readings = read(table(*rows))
    assert [visit.moment for visit in readings.visits] == [Moment.CHARGED, Moment.WORKED]
    assert {visit.at for visit in readings.visits} == {datetime(2026, 4, 3, 12)}
    assert [str(each) for each in readings.warnings] == ["pack.csv: visits without a time: 2; noon is taken."]


def test_degrees_celsius_under_a_fahrenheit_heading_are_doubted() -> None:
    readings = read(one_row({"temperature_f": "21"}, without=("temperature_c",)))
    (warning,) = readings.warnings
    assert str(warning).startswith("pack.csv, row 2: electrolyte at -6.1 °C? If the thermometer shows degrees Celsius")


def test_degrees_fahrenheit_that_could_be_celsius_are_doubted() -> None:
    readings = read(one_row({"temperature_c": "55"}))
    (warning,) = readings.warnings
    assert str(warning).startswith(
        "pack.csv, row 2: electrolyte at 55.0 °C? If the thermometer shows degrees Fahrenheit"
    )
    assert read(one_row({"temperature_c": "44"})).warnings == ()


def test_a_visit_of_today_has_come() -> None:
    assert read(one_row({"date": "2026-04-03"}), today=date(2026, 4, 3)).visits


def test_the_example_pack_is_the_one_the_cells_are_counted_for() -> None:
    assert len(CELLS) == HALL.pack.cells
