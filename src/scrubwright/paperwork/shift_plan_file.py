"""A planned shift, from its JSON: the question that was asked, and the lanes that were printed."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, Field, ValidationError

from scrubwright.floor.site import Site
from scrubwright.jobs.route_answer import Lane
from scrubwright.jobs.shift_question import Air, MachineTonight, Rate, Rates, ShiftQuestion, ShiftSettings
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.paperwork.pack_records import PackPaper

LARGEST_FILE_BYTES = 200_000_000
# JSON rounds lengths to six decimals.
_SAME_LENGTH_M = 1e-5

Model = TypeVar("Model", bound=BaseModel)


class _Rate(BaseModel):
    factor_ratio: float
    sd_ratio: float
    shift_sd_ratio: float
    shifts: int


class _Rates(BaseModel):
    scrubbing: _Rate
    driving: _Rate
    water: _Rate
    current: _Rate
    stops: _Rate


class _Tonight(BaseModel):
    plate: str
    pack: str
    charger: str | None
    charge_fraction: float
    charge_sd_fraction: float
    health_ratio: float
    health_sd_ratio: float
    resistance_ohm: float | None
    electrolyte_k: float | None
    rates: _Rates


class _Air(BaseModel):
    air_k: float
    humidity_fraction: float
    speed_m_per_s: float


class _Settings(BaseModel):
    overlap_m: float | None
    flow: str | None
    pressure: str | None
    leave_out: tuple[str, ...]
    contact_s: float
    reserve_fraction: float
    charge_on_the_way: bool
    important_first: bool
    edges: bool


class _Question(BaseModel):
    start_at: datetime
    dry_by: datetime
    machines: list[_Tonight] = Field(min_length=1)
    air: _Air
    settings: _Settings


class _Lane(BaseModel):
    number: int
    area: str
    machine: int
    block: int
    length_m: float


class PlanFile(BaseModel):
    """What a shift's JSON says of its plan; `question_of` makes the question of it."""

    site: str
    floor: str
    question: _Question
    lanes: list[_Lane] = Field(min_length=1)


def plan_file(path: Path) -> PlanFile:
    """The plan in a file that `scrubwright shift --json` wrote.

    Raises
    ------
    UnreadablePaper
        No such file, too large, or no planned shift.
    """
    return planned_in(path, PlanFile)


def planned_in(path: Path, model: type[Model]) -> Model:
    """A planned shift's JSON, as far as a model asks for it.

    Parameters
    ----------
    path, model
        The file, and what is wanted of it.

    Raises
    ------
    UnreadablePaper
        No such file, too large, or no planned shift.
    """
    if not path.is_file():
        raise UnreadablePaper("There is no file {file}. Check the name and the folder.", file=str(path))
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise no_plan(path)
    try:
        return model.model_validate_json(path.read_bytes())
    except ValidationError:
        raise no_plan(path) from None


def no_plan(path: Path) -> UnreadablePaper:
    """That a file holds no planned shift."""
    return UnreadablePaper(
        "{file} is no planned shift. Write one with scrubwright shift and its choice --json.", file=path.name
    )


def question_of(plan: PlanFile, site: Site, plate: Plate, paper: PackPaper) -> ShiftQuestion:
    """The question that was asked, with site, plate and pack from their own files.

    Parameters
    ----------
    plan
        From `plan_file`.
    site, plate, paper
        The files that it was made with.

    Raises
    ------
    BadInput
        One of them is of another name than the plan says.
    """
    asked = plan.question
    first = asked.machines[0]
    for planned, given in ((plan.site, site.name), (first.plate, plate.name), (first.pack, paper.pack.name)):
        if planned != given:
            raise BadInput(
                "The shift was planned with {planned}, and the file given is of {given}; give the files that the plan "
                "was made with.",
                planned=planned,
                given=given,
            )
    return ShiftQuestion(
        site=site,
        machines=tuple(_machine(each, plate, paper) for each in asked.machines),
        start_at=asked.start_at,
        dry_by=asked.dry_by,
        floor_name=plan.floor,
        air=Air(**asked.air.model_dump()),
        settings=ShiftSettings(**asked.settings.model_dump()),
    )


def _machine(tonight: _Tonight, plate: Plate, paper: PackPaper) -> MachineTonight:
    numbers = tonight.model_dump(exclude={"plate", "pack", "charger", "rates"})
    rates = {name: Rate(**each) for name, each in tonight.rates.model_dump().items()}
    return MachineTonight(
        plate=plate,
        pack=paper.pack,
        charger=None if tonight.charger is None else paper.charger,
        rates=Rates(**rates),
        **numbers,
    )


def check_same_lanes(plan: PlanFile, lanes: Sequence[Lane], path: Path) -> None:
    """Refuse a plan whose lanes do not come out again as they were printed: their numbers would mean other lanes.

    Raises
    ------
    BadInput
        The site, the plate or the program is not the one that the plan was made with.
    """
    same = len(lanes) == len(plan.lanes) and all(
        (now.number, now.area, now.machine, now.block) == (then.number, then.area, then.machine, then.block)
        and abs(now.length_m - then.length_m) < _SAME_LENGTH_M
        for now, then in zip(lanes, plan.lanes, strict=True)
    )
    if not same:
        raise BadInput(
            "The lanes of {file} do not come out again, so their numbers would mean other lanes. Give the site and the "
            "plate as they were when it was planned, and its --seed; the rest of a shift is planned from the first "
            "plan of the night.",
            file=path.name,
        )
