"""May this machine go to work: what the walk-round, open stops, the battery and what is due say together."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from scrubwright.catalogue.checks import Occasion, Result, Skill
from scrubwright.jobs.pack_answer import PackVerdict
from scrubwright.jobs.round_answers import Answer
from scrubwright.jobs.round_card import RoundCard
from scrubwright.jobs.stops import OpenStop
from scrubwright.measures.sentence import Sentence


class FitVerdict(StrEnum):
    """What the machine may do, from the mildest on."""

    RUN = "run"
    CARE = "run with care"
    STOP = "do not run"

    @property
    def rank(self) -> int:
        """0 for run up to 2 for do not run."""
        return list(FitVerdict).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class FitReason:
    """One thing that speaks against running, or for care.

    Parameters
    ----------
    verdict
        How far it goes by itself.
    told
        What it is.
    check
        The check it was seen at; None for the battery and the log.
    do
        What to do about it; None where the sentence says it.
    release
        Who may close it; None where nobody needs to.
    """

    verdict: FitVerdict
    told: Sentence
    check: str | None = None
    do: Sentence | None = None
    release: Skill | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer:
    """The verdict.

    Parameters
    ----------
    verdict, why
        What the machine may do, and the one line that a person can say aloud.
    reasons
        The gravest first.
    release
        The least skill that can close all stops; None where none is open.
    unanswered
        How many rows have no answer yet, and how many of these are stop checks.
    notes
        What was noted and changes nothing.
    """

    verdict: FitVerdict
    why: Sentence
    reasons: tuple[FitReason, ...]
    release: Skill | None
    unanswered: tuple[int, int]
    notes: tuple[Sentence, ...] = ()


def fit_to_run(
    card: RoundCard,
    answers: Mapping[str, Answer],
    open_stops: Sequence[OpenStop] = (),
    *,
    battery: PackVerdict | None = None,
    broken_lines: int = 0,
) -> FitAnswer:
    """Whether a machine may go to work, why not, and who may release it.

    Parameters
    ----------
    card
        The walk-round.
    answers
        The answers that stand in this round, by check.
    open_stops
        What the log holds open, this round's own stops included.
    battery
        What its readings say; None where nobody asked.
    broken_lines
        Lines of the log that nobody can read.

    Notes
    -----
    The worst reason decides; nothing weighs against a stop. A stop check without its answer is a stop too, since
    nobody looked. A machine that may run passed its checks; that says nothing of what no check looks at.
    """
    reasons = [
        *_stops(card, open_stops),
        *_found(card, answers, {stop.check for stop in open_stops}),
        *_missing(card, answers),
        *_battery(battery),
        *_other_round(card),
        *_overdue(card),
        *_broken(broken_lines),
    ]
    reasons.sort(key=lambda reason: -reason.verdict.rank)
    verdict = reasons[0].verdict if reasons else FitVerdict.RUN
    missing = [row for row in card.rows if row.check.identity not in answers]
    missing_stops = sum(row.is_stop for row in missing)
    needed = [each.release for each in reasons if each.release is not None]
    return FitAnswer(
        verdict=verdict,
        why=_why(verdict, reasons, missing_stops),
        reasons=tuple(reasons),
        release=max(needed, key=lambda skill: skill.rank, default=None),
        unanswered=(len(missing), missing_stops),
        notes=tuple(
            row.check.do
            for row in card.rows
            if row.check.identity in answers and answers[row.check.identity].result is Result.NOTE
        ),
    )


def _stops(card: RoundCard, stops: Sequence[OpenStop]) -> Iterator[FitReason]:
    for stop in stops:
        check = card.check(stop.check)
        yield FitReason(
            verdict=FitVerdict.STOP,
            told=Sentence(
                "Open stop {check} since {day}, seen by {who}: {saw}",
                check=stop.check,
                day=stop.since.at.date().isoformat(),
                who=stop.since.by.name,
                saw=_saw(card, stop.since),
            ),
            check=stop.check,
            do=None if check is None else check.do,
            release=stop.release,
        )


def _found(card: RoundCard, answers: Mapping[str, Answer], told: set[str]) -> Iterator[FitReason]:
    for row in card.rows:
        answer = answers.get(row.check.identity)
        if answer is None or row.check.identity in told:
            continue
        if answer.result is Result.FIX:
            found = Sentence("To mend, {check}: {saw}", check=row.check.identity, saw=_saw(card, answer))
        elif answer.result is Result.STOP:
            found = Sentence(
                "Released, {check}; look at it first. It was: {saw}", check=row.check.identity, saw=_saw(card, answer)
            )
        else:
            continue
        yield FitReason(verdict=FitVerdict.CARE, told=found, check=row.check.identity, do=row.check.do)


def _missing(card: RoundCard, answers: Mapping[str, Answer]) -> Iterator[FitReason]:
    missing = [row for row in card.rows if row.check.identity not in answers]
    stops = [row for row in missing if row.is_stop]
    if stops:
        yield FitReason(
            verdict=FitVerdict.STOP,
            told=Sentence(
                "Nobody looked yet, and these can stop it: rows {rows}.",
                rows=", ".join(str(row.number) for row in stops),
            ),
        )
    others = len(missing) - len(stops)
    if others:
        yield FitReason(
            verdict=FitVerdict.CARE,
            told=Sentence("Rows without an answer that are no stop checks: {count}.", count=others),
        )


def _battery(battery: PackVerdict | None) -> Iterator[FitReason]:
    match battery:
        case PackVerdict.STOP:
            yield FitReason(
                verdict=FitVerdict.STOP,
                told=Sentence("The battery's readings say: do not run. Look at the pack's own answer first."),
            )
        case PackVerdict.CARE:
            yield FitReason(
                verdict=FitVerdict.CARE,
                told=Sentence("The battery's readings ask for care. Do what the pack's own answer says."),
            )
        case PackVerdict.UNKNOWN:
            yield FitReason(
                verdict=FitVerdict.CARE,
                told=Sentence("Nobody measured the battery lately. Measure it before a long shift."),
            )


def _other_round(card: RoundCard) -> Iterator[FitReason]:
    if Occasion.BEFORE_SHIFT not in card.occasions:
        yield FitReason(
            verdict=FitVerdict.CARE,
            told=Sentence("This is not the round before the shift. Do that one before the machine works."),
        )


def _overdue(card: RoundCard) -> Iterator[FitReason]:
    for check in card.for_others:
        if check.can_stop:
            yield FitReason(
                verdict=FitVerdict.CARE,
                told=Sentence("Due, and for a {skill}: {look}", skill=check.skill, look=check.look),
                check=check.identity,
            )


def _broken(lines: int) -> Iterator[FitReason]:
    if lines:
        yield FitReason(
            verdict=FitVerdict.CARE,
            told=Sentence(
                "Lines of the log that cannot be read: {count}. Ask who wrote them whether one was a stop.", count=lines
            ),
        )


def _saw(card: RoundCard, answer: Answer) -> Sentence:
    """What was seen, in the catalogue's own words where it still has them."""
    if answer.reading is not None:
        return Sentence("{value}", value=_number(answer.reading.name, answer.reading.value))
    check = card.check(answer.check)
    seen = () if check is None else check.seen
    known = next((each.saw for each in seen if each.saw.template == answer.saw), None)
    return known or Sentence("{saw}", saw=answer.saw or "")


def _number(name: str, value: float) -> Sentence:
    # The name carries the unit, so it is the placeholder too.
    return Sentence.in_languages({"en": "{" + name + "}"}, **{name: value})


def _why(verdict: FitVerdict, reasons: Sequence[FitReason], missing_stops: int) -> Sentence:
    if verdict is FitVerdict.RUN:
        return Sentence("All checks are answered and none found anything to stop for.")
    grave = sum(reason.verdict is verdict for reason in reasons)
    if verdict is FitVerdict.CARE:
        return Sentence("No stop is open, but some things ask for care. Things to watch: {count}.", count=grave)
    if missing_stops and grave == 1:
        return Sentence("Not yet fit to run. Stop checks without an answer: {count}.", count=missing_stops)
    return Sentence("Something stops it. Reasons: {count}.", count=grave)
