"""A small catalogue of walk-round checks, a person of each skill, and answers to them."""

from datetime import datetime

from scrubwright.catalogue.checks import (
    Against,
    Check,
    Grounds,
    Measured,
    Occasion,
    Result,
    Seen,
    Skill,
    State,
    Station,
    WornBy,
)
from scrubwright.catalogue.parts import Catalogue, Part
from scrubwright.catalogue.terms import Term, condition
from scrubwright.jobs.round_answers import Answer, Person, answer_seen
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence

NOW = datetime(2026, 3, 10, 21, 0)
FACTS = frozenset({Term.DISC_DECK, Term.FLOODED_BATTERY})
OPERATOR = Person(name="Ana", skill=Skill.OPERATOR)
LEAD = Person(name="Bo", skill=Skill.LEAD)
TECHNICIAN = Person(name="Leo", skill=Skill.TECHNICIAN)
GROUNDS = Grounds(origin=Origin.COMMON_PRACTICE)


def check(
    identity: str,
    *,
    when: tuple[Occasion, ...] = (Occasion.BEFORE_SHIFT,),
    applies_when: str = "always",
    station: Station = Station.SEAT,
    state: State = State.KEY_OFF,
    worst: Result = Result.FIX,
    stop_when: str | None = None,
    skill: Skill = Skill.OPERATOR,
    measured: Measured | None = None,
    takes_min: float = 1.0,
    every_h: float | None = None,
    idle_days: int | None = None,
) -> Check:
    can_stop = worst is Result.STOP or stop_when is not None
    seen = (Seen(saw=Sentence("Good"), result=Result.GOOD), Seen(saw=Sentence("Bad"), result=worst))
    return Check(
        identity=identity,
        part="part",
        when=when,
        applies_when=condition(applies_when),
        station=station,
        state=state,
        look=Sentence("Look."),
        good=Sentence("Good."),
        why=Sentence("Because."),
        do=Sentence("Mend it."),
        if_not=worst,
        stop_when=None if stop_when is None else condition(stop_when),
        release=Skill.TECHNICIAN if can_stop else None,
        skill=skill,
        takes_min=takes_min,
        protection=(),
        cautions=(),
        seen=() if measured is not None else seen,
        measured=measured,
        grounds=GROUNDS,
        every_h=every_h,
        meter=None if every_h is None else WornBy.BRUSH,
        idle_days=idle_days,
    )


def catalogue(*checks: Check) -> Catalogue:
    return Catalogue(
        parts=(
            Part(
                identity="part",
                name=Sentence("Part"),
                does=Sentence("It is there."),
                station=Station.SEAT,
                applies_when=condition("always"),
                checks=checks,
            ),
        )
    )


def stopping(low_m: float, high_m: float | None = None) -> Measured:
    return Measured(what=Sentence("Way"), name="value_m", against=Against.LIMIT, low=low_m, high=high_m)


def seen(
    one: Check, choice: int, *, at: datetime = NOW, by: Person = OPERATOR, facts: frozenset[Term] = FACTS
) -> Answer:
    return answer_seen(one, choice, facts, at=at, by=by)
