"""The walk-round, its verdict and what it leaves, as text for a terminal, 80 letters wide."""

from collections.abc import Sequence

from scrubwright.catalogue.checks import Check
from scrubwright.jobs.after_shift import AfterAnswer
from scrubwright.jobs.fit_to_run import FitAnswer, FitVerdict
from scrubwright.jobs.round_card import RoundCard
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_lines import printable
from scrubwright.paperwork.round_lines import RowLines, chunk_lines, facts_line, round_summary, round_title
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

# Shape and word first: a full disc, a half one, a barred square; a stop row has a full square.
VERDICT_SHAPES = {FitVerdict.RUN: "●", FitVerdict.CARE: "◐", FitVerdict.STOP: "⊟"}
STOP_SHAPE = "■"


def card_text(card: RoundCard, teller: Teller) -> str:
    """The whole card as plain text."""
    head = [round_title(card, teller).upper(), wrapped(round_summary(card, teller)), wrapped(facts_line(card, teller))]
    parts = ["\n".join(head)]
    for chunk in card.chunks:
        told = chunk_lines(chunk, card, teller)
        lines = [chunk_heading(told.heading)]
        if told.wear:
            lines.append(wrapped(told.wear, indent="  "))
        for row in told.rows:
            lines += row_text(row, teller)
        parts.append("\n".join(lines))
    parts += [_left(card, teller)] if card.for_others or card.unread else []
    return "\n\n".join(printable_lines(part) for part in parts) + "\n"


def chunk_heading(heading: str) -> str:
    """The line above a chunk."""
    return wrapped(heading, mark="== ")


def row_text(row: RowLines, teller: Teller) -> list[str]:
    """One row with its good value, boxes and cautions."""
    stop = f"{STOP_SHAPE} {teller.words('STOP')}: " if row.is_stop else ""
    lines = [wrapped(f"{stop}{row.look}", indent="  ", mark=f"{row.number:>2}. ")]
    beside = " " * 6
    if row.why_now:
        lines.append(wrapped(row.why_now, indent=beside, mark="> "))
    lines += [wrapped(caution, indent=beside, mark="! ") for caution in row.cautions]
    lines.append(wrapped(teller.words("Good: {good}", good=row.good), indent=beside))
    if row.boxes:
        lines += [wrapped(box, indent=beside, mark=f"[{number}] ") for number, box in enumerate(row.boxes, 1)]
    else:
        lines.append(f"{beside}_________ {row.unit}")
    return lines


def why_text(check: Check, teller: Teller) -> str:
    """Why a check is there, and where it comes from."""
    grounds = check.grounds
    where = [teller.called(grounds.origin), grounds.detail]
    if grounds.changed:
        where.append(teller.words("your own file: {changed}", changed=", ".join(grounds.changed)))
    told = f"{teller.tell(check.why)} ({'; '.join(filter(None, where))})"
    return wrapped(told, indent=" " * 6)


def verdict_text(answer: FitAnswer, teller: Teller, cues: Sequence[Sentence] = ()) -> str:
    """The verdict, why, every reason with what to do and who may release it.

    Parameters
    ----------
    answer
        The verdict.
    teller
        To whom.
    cues
        What to talk about with whoever went round.
    """
    words = teller.words
    lines = [f"{VERDICT_SHAPES[answer.verdict]} {words(answer.verdict).upper()}", wrapped(teller.tell(answer.why))]
    for reason in answer.reasons:
        lines.append(wrapped(teller.tell(reason.told), indent="  ", mark="- "))
        if reason.do is not None:
            lines.append(wrapped(teller.tell(reason.do), indent="    "))
        if reason.release is not None:
            lines.append(
                wrapped(words("Who may release it: {skill}.", skill=teller.called(reason.release)), indent="    ")
            )
    if answer.notes:
        lines += ["", words("Noted")]
        lines += [wrapped(teller.tell(note), indent="  ", mark="- ") for note in answer.notes]
    if cues:
        lines += ["", words("For the next huddle")]
        lines += [wrapped(teller.tell(cue), indent="  ", mark="- ") for cue in cues]
    return printable_lines("\n".join(lines)) + "\n"


def after_text(answer: AfterAnswer, teller: Teller) -> str:
    """What the shift leaves for tomorrow; empty where it leaves nothing."""
    words = teller.words
    lines = []
    for meter, ran_h in answer.ran_h:
        told = words("{meter} meter: ran {ran_h}.", meter=teller.called(meter), ran_h=ran_h)
        lines.append(wrapped(told, indent="  ", mark="- "))
    lines += [wrapped(teller.tell(each), indent="  ", mark="! ") for each in answer.meters]
    lines += [
        wrapped(words("Mend: {do}", do=teller.tell(row.check.do)), indent="  ", mark="- ") for row in answer.to_mend
    ]
    for stop in answer.open_stops:
        told = words("Open stop {check}: released by {skill}.", check=stop.check, skill=teller.called(stop.release))
        lines.append(wrapped(told, indent="  ", mark=f"{STOP_SHAPE} "))
    if not lines:
        return ""
    return printable_lines("\n".join([words("Left for tomorrow"), *lines])) + "\n"


def printable_lines(text: str) -> str:
    """Text without letters that would steer a terminal."""
    return "\n".join(printable(line) for line in text.split("\n"))


def _left(card: RoundCard, teller: Teller) -> str:
    lines = []
    if card.for_others:
        lines.append(teller.words("Due, for others"))
        for check in card.for_others:
            told = teller.words("{skill}: {look}", skill=teller.called(check.skill), look=teller.tell(check.look))
            lines.append(wrapped(told, indent="  ", mark="- "))
    if card.unread:
        meters = sorted({teller.called(check.meter) for check in card.unread if check.meter is not None})
        lines.append(
            wrapped(
                teller.words(
                    "Checks by hours that nobody can tell of, since their meters are not in the log: {count}. Read "
                    "these: {meters}.",
                    count=len(card.unread),
                    meters=", ".join(meters),
                )
            )
        )
    return "\n".join(lines)
