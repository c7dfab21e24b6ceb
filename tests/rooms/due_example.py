"""A small catalogue and a machine with meters, for tests of what is due."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from scrubwright.catalogue.checks import (
    Check,
    Grounds,
    Occasion,
    Result,
    Seen,
    Skill,
    State,
    Station,
    WornBy,
)
from scrubwright.catalogue.parts import Catalogue, Part, ServiceAction, ServiceItem, WearLimit
from scrubwright.catalogue.terms import Term, condition
from scrubwright.jobs.due_question import Change, DueQuestion, Machine, MachineMeter
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading

NOW = datetime(2026, 4, 9, 12, 0)
GROUNDS = Grounds(origin=Origin.COMMON_PRACTICE)
FACTS = frozenset({Term.DISC_DECK, Term.FLOODED_BATTERY})


def item(
    identity: str,
    *,
    meter: WornBy = WornBy.BRUSH,
    life_h: tuple[float, float] | None = (200.0, 200.0),
    life_days: tuple[int, int] | None = None,
    action: ServiceAction = ServiceAction.REPLACE,
    applies_when: str = "always",
    count: int = 1,
    limit_m: float | None = None,
) -> ServiceItem:
    return ServiceItem(
        identity=identity,
        part="deck",
        name=Sentence.in_languages({"en": identity, "es": identity}),
        action=action,
        applies_when=condition(applies_when),
        count=count,
        measured=Sentence("Look."),
        meter=meter,
        life_h=life_h,
        life_days=life_days,
        limit=None if limit_m is None else WearLimit(name="limit_m", value=limit_m),
        new=None,
        takes_min=10.0,
        cost_ratio=(1.0, 2.0),
        skill=Skill.OPERATOR,
        grounds=GROUNDS,
    )


def check(identity: str, *when: Occasion, every_h: float | None = None, stops: bool = False) -> Check:
    worst = Result.STOP if stops else Result.NOTE
    return Check(
        identity=identity,
        part="deck",
        when=when,
        applies_when=condition("always"),
        station=Station.SEAT,
        state=State.KEY_OFF,
        look=Sentence.in_languages({"en": identity, "es": identity}),
        good=Sentence("Good."),
        why=Sentence("Why."),
        do=Sentence("Mend."),
        if_not=worst,
        stop_when=None,
        release=Skill.TECHNICIAN if stops else None,
        skill=Skill.OPERATOR,
        takes_min=2.0,
        protection=(),
        cautions=(),
        seen=(Seen(saw=Sentence("Good."), result=Result.GOOD), Seen(saw=Sentence("Bad."), result=worst)),
        measured=None,
        grounds=GROUNDS,
        every_h=every_h,
        meter=None if every_h is None else WornBy.KEY,
    )


def catalogue(*items: ServiceItem, checks: Sequence[Check] = ()) -> Catalogue:
    part = Part(
        identity="deck",
        name=Sentence("Deck"),
        does=Sentence("Scrubs."),
        station=Station.FRONT,
        applies_when=condition("always"),
        checks=tuple(checks),
        service=items,
    )
    return Catalogue(parts=(part,))


def meter(
    counts: Counts = Counts.BRUSH, *, pace_h_per_day: float = 2.0, days: int = 100, every: int = 2
) -> MachineMeter:
    """A meter read every other day up to yesterday, running evenly from 1,000 h on."""
    first = NOW - timedelta(days=days)
    readings = tuple(
        MeterReading(at=first + timedelta(days=day), value_h=round(1000.0 + pace_h_per_day * day, 1))
        for day in range(0, days, every)
    )
    return MachineMeter(meter=MeterDefinition(counts=counts), readings=readings)


def machine(*meters: MachineMeter, changes: Sequence[Change] = (), name: str = "one") -> Machine:
    return Machine(name=name, facts=FACTS, meters=meters, changes=tuple(changes))


def question(of: Machine, by: Catalogue, **more: object) -> DueQuestion:
    return DueQuestion(machine=of, catalogue=by, at=NOW, **more)  # type: ignore[arg-type]
