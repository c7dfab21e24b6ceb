"""How a pack stands, asked as a shop would ask, with packs whose truth is known."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from scrubwright.battery.pack import ChargeProfile, Charger, Chemistry, Pack, RatedCapacity
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.jobs.pack_answer import PackAnswer, PackPart, PackVerdict
from scrubwright.jobs.pack_look import pack_look
from scrubwright.jobs.pack_state import StopSign
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_year import CHARGER, FIRST, FULL_PACK_H, LOAD_A, PACK, year

LATER = timedelta(hours=2)


def asked(visits: tuple[Visit, ...], **how: object) -> PackAnswer:
    at = max((visit.at for visit in visits), default=year(np.random.default_rng(0), weeks=1)[0].at) + LATER
    return pack_look(PACK, CHARGER, visits, at=at, **how)  # type: ignore[arg-type]


def number(answer: PackAnswer, name: str, part: PackPart | None = None) -> Sourced:
    return next(each.number for each in answer.figures if each.number.name == name and part in (None, each.part))


def charged(visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
    """The log up to the last reading after a charge."""
    return visits[:-1]


@pytest.fixture(scope="module")
def even() -> tuple[Visit, ...]:
    return charged(year(np.random.default_rng(11)))


@pytest.fixture(scope="module")
def drifting() -> tuple[Visit, ...]:
    return charged(year(np.random.default_rng(12), low_cell=11, drift_ratio=0.0009))


def test_an_even_pack_may_run(even: tuple[Visit, ...]) -> None:
    answer = asked(even, load_a=LOAD_A, work_h=1.5)
    assert answer.verdict is PackVerdict.RUN
    assert not any(cell.remark for cell in answer.cells)
    assert len(answer.cells) == PACK.cells


def test_a_drifting_cell_is_named_and_run_with_care(drifting: tuple[Visit, ...]) -> None:
    answer = asked(drifting, load_a=LOAD_A, work_h=1.5)
    assert answer.verdict is PackVerdict.CARE
    assert "Cell 11" in str(answer.why)
    assert [cell.number for cell in answer.cells if cell.is_weakest] == [11]
    assert any("Equalise" in str(step.told) for step in answer.steps)


def test_every_step_on_open_cells_carries_its_cautions(drifting: tuple[Visit, ...]) -> None:
    equalise = next(step for step in asked(drifting).steps if "Equalise" in str(step.told))
    told = " ".join(str(caution) for caution in equalise.cautions)
    assert "face shield" in told
    assert "hydrogen" in told
    assert "46.0 °C" in told


def test_the_work_left_lies_near_the_truth(even: tuple[Visit, ...]) -> None:
    by_log = number(asked(even, load_a=LOAD_A), "runtime_left_h", PackPart.RUNTIME)
    truth_h = FULL_PACK_H * (1 - 0.001 * 39)
    assert by_log.origin is Origin.MEASURED
    assert by_log.low is not None
    assert by_log.high is not None
    assert by_log.low <= truth_h <= by_log.high
    assert by_log.value == pytest.approx(truth_h, rel=0.10)


def test_a_measurement_overrules_the_label(even: tuple[Visit, ...]) -> None:
    # By its label at 40 A a pack of this size would run for over five hours; its log says three.
    answer = asked(even, load_a=40.0, work_h=4.5)
    assert answer.verdict is PackVerdict.CARE
    assert "4.50 h of work" in str(answer.why)


def test_the_rate_table_stands_in_where_there_is_no_log(even: tuple[Visit, ...]) -> None:
    answer = asked(even[:1], load_a=67.7)
    runtime = number(answer, "runtime_left_h")
    assert runtime.origin is Origin.ESTIMATE
    # 203 Ah over 3 h is 67.7 A: the table's own row, less what the cells lack of full.
    assert 2.6 <= runtime.value <= 3.05


def test_a_cold_pack_runs_shorter(even: tuple[Visit, ...]) -> None:
    cold = replace(even[0], electrolyte_k=(278.15,))
    warm_h = number(asked(even[:1], load_a=LOAD_A), "runtime_left_h").value
    cold_h = number(asked((cold,), load_a=LOAD_A), "runtime_left_h").value
    assert cold_h < 0.9 * warm_h


def test_one_rated_capacity_falls_back_to_peukert_by_name(even: tuple[Visit, ...]) -> None:
    plain = replace(PACK, capacities=(RatedCapacity(capacity_ah=221.0, over_h=5.0),))
    answer = pack_look(plain, CHARGER, even[:1], at=even[0].at + LATER, load_a=LOAD_A)
    assert "Peukert" in str(number(answer, "runtime_left_h").detail)


@pytest.mark.parametrize("chemistry", [Chemistry.FLOODED, Chemistry.AGM, Chemistry.LITHIUM])
def test_a_pack_that_nobody_read_is_told_what_is_missing_and_what_comes_next(chemistry: Chemistry) -> None:
    pack = replace(AGM, chemistry=chemistry) if chemistry is not Chemistry.FLOODED else PACK
    answer = pack_look(pack, None, (), at=FIRST)
    assert answer.verdict is PackVerdict.UNKNOWN
    why = str(answer.why)
    assert "what is missing is a first reading" in why
    next_move = {Chemistry.FLOODED: "gravity", Chemistry.AGM: "volts of every block", Chemistry.LITHIUM: "display"}
    assert next_move[chemistry] in why


def test_work_without_readings_is_answered_for_a_full_pack() -> None:
    does = asked((), load_a=LOAD_A, work_h=1.5)
    full = number(does, "full_by_table_h")
    assert full.low is not None
    assert full.low > 1.5
    assert any("Full it would do the 1.50 h ahead" in str(remark) for _, remark in does.remarks)
    does_not = asked((), load_a=LOAD_A, work_h=20.0)
    assert any("Even full it would not surely do" in str(remark) for _, remark in does_not.remarks)
    assert does.verdict is does_not.verdict is PackVerdict.UNKNOWN


@pytest.mark.parametrize(
    ("asks", "said"),
    [
        ({"load_a": 5.01 * PACK.capacity_ah}, "No machine draws"),
        ({"load_a": 38_000.0}, "No machine draws"),
        ({"work_h": 24.1}, "longer than a day"),
    ],
)
def test_what_no_machine_does_is_refused(asks: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        asked((), **asks)


def test_a_log_of_few_shifts_tells_no_chance_and_no_date(even: tuple[Visit, ...]) -> None:
    answer = asked(even[:3], load_a=LOAD_A, work_h=1.0)
    names = {each.number.name for each in answer.figures}
    assert "full_pack_h" in names
    assert not names & {"chance_fraction", "left_shifts"}
    assert answer.replace_by == ()
    (told,) = (str(remark) for part, remark in answer.remarks if "too few to tell" in str(remark))
    # One shift is logged, ten are needed.
    assert "Log 9 shifts more" in told
    assert (
        Teller(language=Language.SPANISH)
        .tell(next(r for _, r in answer.remarks if str(r) == told))
        .startswith("El registro tiene 1 turno:")
    )


def test_no_chance_is_told_as_certain(even: tuple[Visit, ...]) -> None:
    assert number(asked(even, work_h=0.2), "chance_fraction").value == 0.99
    assert number(asked(even, work_h=20.0), "chance_fraction").value == 0.01


def test_a_lagging_cell_is_told_in_hours_of_work(drifting: tuple[Visit, ...]) -> None:
    answer = asked(drifting, load_a=LOAD_A)
    low = number(answer, "runtime_left_h").low
    (step,) = (each.told for each in answer.steps if "drive it backwards" in str(each.told))
    assert dict(step.values)["work_h"] == low
    # Where no hours are known, it is said how to get them.
    bare = tuple(replace(visit, meter_h=None) for visit in drifting)
    (step_without,) = (each for each in asked(bare).steps if "drive it backwards" in str(each.told))
    assert "before the pack is down to" in str(step_without.told)
    assert any("mean current" in str(caution) for caution in step_without.cautions)


def test_a_pack_that_ran_out_is_charged_before_it_works_again() -> None:
    visits = year(np.random.default_rng(13), weeks=12)
    answer = asked((*visits[:-1], replace(visits[-1], event=Event.RAN_OUT)), load_a=LOAD_A, work_h=1.0)
    assert answer.verdict is PackVerdict.STOP
    assert "came to its end" in str(answer.why)
    assert not any(each.number.name == "runtime_left_h" for each in answer.figures)
    assert str(answer.steps[0].told).startswith("Charge it full today")
    # Once it is charged and read again it may run.
    again = replace(visits[-2], at=visits[-1].at + timedelta(hours=10), meter_h=visits[-1].meter_h)
    assert asked((*visits[:-1], replace(visits[-1], event=Event.RAN_OUT), again)).verdict is not PackVerdict.STOP


def test_a_sealed_pack_that_ran_out_is_not_taken_for_full() -> None:
    charged_at = Visit(at=FIRST, moment=Moment.CHARGED, meter_h=100.0)
    worked = Visit(at=FIRST + timedelta(hours=5), moment=Moment.WORKED, meter_h=103.0)
    at = worked.at + timedelta(hours=1)
    out = pack_look(AGM, AGM_CHARGER, (charged_at, replace(worked, event=Event.RAN_OUT)), at=at)
    assert number(out, "charge_left_fraction").value == 0.0
    assert out.verdict is PackVerdict.STOP
    # Work that nobody measured leaves the charge unknown, and not what it was before.
    unknown = pack_look(AGM, AGM_CHARGER, (charged_at, worked), at=at)
    assert unknown.verdict is PackVerdict.UNKNOWN
    assert not any(each.part is PackPart.CHARGE for each in unknown.figures)


def test_no_reading_asks_for_one() -> None:
    answer = asked(())
    assert answer.verdict is PackVerdict.UNKNOWN
    assert answer.last_visit_at is None
    assert any("Read" in str(step.told) or "read" in str(step.told) for step in answer.steps)


@pytest.mark.parametrize("sign", list(StopSign))
def test_what_a_person_notices_stops_everything(even: tuple[Visit, ...], sign: StopSign) -> None:
    answer = asked(even, stop_signs=(sign,), load_a=LOAD_A, work_h=1.0)
    assert answer.verdict is PackVerdict.STOP


def test_a_nearly_flat_pack_in_hard_frost_is_stopped() -> None:
    visits = year(np.random.default_rng(3), weeks=3)
    flat = replace(visits[-1], gravities_ratio=tuple([1.13] * 18))
    assert asked((*visits[:-1], flat), forecast_k=263.15).verdict is PackVerdict.STOP
    assert asked((*visits[:-1], flat), forecast_k=283.15).verdict is PackVerdict.CARE


def test_a_cell_below_flat_is_stopped() -> None:
    visits = year(np.random.default_rng(4), weeks=3)
    gravities = [1.150] * 18
    gravities[4] = 1.105
    answer = asked((*visits[:-1], replace(visits[-1], gravities_ratio=tuple(gravities))))
    assert answer.verdict is PackVerdict.STOP
    assert "Cell 5" in str(answer.why)


def test_a_reading_after_work_does_not_hide_the_weak_cell() -> None:
    after_work = year(np.random.default_rng(12), low_cell=11, drift_ratio=0.0009)
    answer = asked(after_work)
    assert after_work[-1].moment is Moment.WORKED
    assert [cell.number for cell in answer.cells if cell.is_weakest] == [11]
    assert number(answer, "charge_left_fraction").value < 0.8


def test_cells_read_only_after_work_are_shown_and_not_judged() -> None:
    log = year(np.random.default_rng(12), weeks=3, low_cell=11, low_ratio=0.05)
    answer = asked(tuple(visit for visit in log if visit.moment is Moment.WORKED))
    assert len(answer.cells) == PACK.cells
    assert not any(cell.is_weakest for cell in answer.cells)
    assert any("full" in str(step.told) for step in answer.steps)


def test_an_old_reading_says_nothing_of_tonight(even: tuple[Visit, ...]) -> None:
    answer = pack_look(PACK, CHARGER, even, at=even[-1].at + timedelta(days=9), load_a=LOAD_A, work_h=1.0)
    assert answer.verdict is PackVerdict.UNKNOWN
    assert "9 days old" in str(answer.why)
    assert not any(each.number.name == "runtime_left_h" for each in answer.figures)


def test_an_old_reading_asks_for_a_new_one(even: tuple[Visit, ...]) -> None:
    answer = pack_look(PACK, CHARGER, even, at=even[-1].at + timedelta(days=90))
    assert any("read every cell" in str(step.told) for step in answer.steps)


def test_only_a_pack_that_did_no_work_is_told_that_it_stood(even: tuple[Visit, ...]) -> None:
    idle = replace(even[-1], at=even[-1].at + timedelta(days=40), moment=Moment.BETWEEN)
    assert any("has stood 40 days" in str(step.told) for step in asked((*even, idle)).steps)
    worked = replace(idle, meter_h=(even[-1].meter_h or 0.0) + 60)
    assert not any("stood" in str(step.told) for step in asked((*even, worked)).steps)


def test_a_new_pack_starts_its_own_story(drifting: tuple[Visit, ...]) -> None:
    changed = replace(drifting[-1], event=Event.NEW_PACK)
    fresh = replace(drifting[0], at=drifting[-1].at + timedelta(days=1), meter_h=drifting[-1].meter_h)
    answer = asked((*drifting[:-1], changed, fresh))
    assert answer.last_visit_at == fresh.at
    assert not any(cell.remark for cell in answer.cells)
    assert not any(cell.drift_per_visit for cell in answer.cells)


def test_a_typing_slip_is_asked_about_and_hides_nothing(even: tuple[Visit, ...]) -> None:
    gravities = list(even[-1].gravities_ratio)
    gravities[6] = 1.175
    answer = asked((*even[:-1], replace(even[-1], gravities_ratio=tuple(gravities))))
    assert "cell 7" in str(answer.why)
    assert answer.cells[6].gravity_ratio == pytest.approx(1.175)
    # The pack's charge is that of the cells that are believed.
    assert number(answer, "charge_left_fraction").value > 0.9


def test_a_shift_length_gives_a_day_to_replace_it_by(even: tuple[Visit, ...]) -> None:
    answer = asked(even, load_a=LOAD_A, work_h=3.0)
    if answer.replace_by:
        likely, low, high = answer.replace_by
        assert low <= likely <= high
    assert number(answer, "left_shifts").low is not None


def test_water_tells_of_the_charge_factor(even: tuple[Visit, ...]) -> None:
    # 39 weeks of five shifts of 0.55 of a pack of 221 Ah are about 23,700 Ah; at 1.20 Faraday's 0.3361 g splits
    # 0.3361 x 0.2 x 23,700 x 18 = 28.7 kg of water, and a seventh more dries off.
    filled = (replace(even[0], water_l=0.5), *even[1:-1], replace(even[-1], water_l=28.7 * 1.15))
    learned = number(asked(filled), "charge_factor_ratio", PackPart.WATER)
    assert learned.origin is Origin.MEASURED
    assert learned.value == pytest.approx(1.20, abs=0.03)


def test_a_hot_joint_is_suspected_before_the_cells(even: tuple[Visit, ...]) -> None:
    sagging = even[-1].under_load
    assert sagging is not None
    bad = replace(even[-1], under_load=replace(sagging, load_v=35.0))
    remarks = [str(remark) for part, remark in asked((*even[:-1], bad)).remarks if part is PackPart.RUNTIME]
    assert any("hot joint" in remark for remark in remarks)


AGM = Pack(
    name="Narrow, 24 V",
    chemistry=Chemistry.AGM,
    cells=12,
    cells_per_block=6,
    capacities=(RatedCapacity(capacity_ah=105.0, over_h=5.0), RatedCapacity(capacity_ah=120.0, over_h=20.0)),
    rated_k=298.15,
    cut_off_v=1.75,
)
AGM_CHARGER = Charger(name="24 V 15 A", profile=ChargeProfile.IUOU, main_a=15.0, mains_v=115.0)


def test_a_sealed_pack_gets_what_applies_and_why_the_rest_does_not(even: tuple[Visit, ...]) -> None:
    visit = Visit(at=even[0].at, moment=Moment.CHARGED, rested_h=24.0, rested_v=25.6, blocks_v=(12.8, 12.8))
    answer = pack_look(AGM, AGM_CHARGER, (visit,), at=even[0].at + LATER, load_a=25.0)
    assert answer.verdict is PackVerdict.RUN
    assert answer.cells == ()
    assert {each.part for each in answer.figures} >= {PackPart.CHARGE, PackPart.RUNTIME, PackPart.CHARGING}
    assert PackPart.WATER not in {each.part for each in answer.figures}
    assert any("never be opened" in str(told) for told in answer.does_not_apply)
    assert not any("ydrometer" in str(step.told) for step in answer.steps)


def test_a_weak_sealed_block_is_named(even: tuple[Visit, ...]) -> None:
    visit = Visit(at=even[0].at, moment=Moment.CHARGED, rested_h=24.0, rested_v=24.3, blocks_v=(12.8, 11.5))
    answer = pack_look(AGM, AGM_CHARGER, (visit,), at=even[0].at + LATER)
    assert answer.verdict is not PackVerdict.RUN
    assert any("lock 2" in str(step.told) for step in answer.steps)


def test_a_lithium_pack_gets_runtime_and_no_lead_advice(even: tuple[Visit, ...]) -> None:
    pack = Pack(
        name="Mid, 36 V",
        chemistry=Chemistry.LITHIUM,
        cells=12,
        capacities=(RatedCapacity(capacity_ah=180.0, over_h=3.0),),
        rated_k=298.15,
    )
    visit = Visit(at=even[0].at, moment=Moment.BETWEEN, charge_fraction=0.5)
    answer = pack_look(pack, None, (visit,), at=even[0].at + LATER, load_a=60.0)
    # 180 Ah x 0.5 / 60 A.
    assert number(answer, "runtime_left_h").value == pytest.approx(1.5)
    assert len(answer.does_not_apply) == 1
    told = " ".join(str(each) for each in (*answer.steps, *(remark for _, remark in answer.remarks)))
    assert "water" not in told.lower()
    assert "ydrometer" not in told


def test_a_reading_from_the_future_is_refused(even: tuple[Visit, ...]) -> None:
    with pytest.raises(BadInput, match="lie in the future"):
        pack_look(PACK, CHARGER, even, at=even[0].at)


def test_the_order_of_the_visits_does_not_matter(even: tuple[Visit, ...]) -> None:
    at = even[-1].at + LATER
    one = pack_look(PACK, CHARGER, even, at=at, load_a=LOAD_A, work_h=1.5)
    other = pack_look(PACK, CHARGER, tuple(reversed(even)), at=at, load_a=LOAD_A, work_h=1.5)
    assert one == other


@pytest.mark.parametrize("name", ["load_a", "work_h"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_work_that_cannot_be_is_refused(even: tuple[Visit, ...], name: str, value: float) -> None:
    with pytest.raises(BadInput, match="above zero"):
        asked(even, **{name: value})
