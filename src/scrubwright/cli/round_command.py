"""`scrubwright round`: the shortest walk-round for this machine, answered in the terminal, and its verdict."""

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from scrubwright.catalogue.checks import Occasion, Skill, WornBy
from scrubwright.catalogue.parts import Catalogue
from scrubwright.catalogue.terms import Term
from scrubwright.cli.amounts import duration_h
from scrubwright.cli.clock import day_of
from scrubwright.cli.machines import BATTERIES, describe_machine
from scrubwright.cli.output import STANDARD_OUTPUT, check_files, write_asked
from scrubwright.cli.parsing import Commands
from scrubwright.cli.round_walk import walk
from scrubwright.jobs.after_shift import after_shift
from scrubwright.jobs.fit_to_run import FitAnswer, fit_to_run
from scrubwright.jobs.machine_facts import battery_of, facts_of, site_of
from scrubwright.jobs.pack_answer import PackVerdict
from scrubwright.jobs.round_answers import Person
from scrubwright.jobs.round_card import RoundCard, round_card
from scrubwright.jobs.round_cues import teaching_cues
from scrubwright.jobs.stops import release_of
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.catalogues import catalogue_with
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.round_json import round_json
from scrubwright.paperwork.round_log import RoundLog, append, read_round_log
from scrubwright.paperwork.round_records import BegunLine, MeterLine, person_line, release_line
from scrubwright.paperwork.round_text import after_text, card_text, printable_lines, verdict_text
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

DONE = 0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "round",
        help="Walk round a machine and tell whether it may run.",
        description="Makes the shortest walk-round for this machine at this site. With a log it asks check by check, "
        "keeps each answer at once, and tells whether the machine may run, why not, and who may release it.",
        epilog='scrubwright round mid-cylindrical.toml --battery flooded --site "ramps, public present"\n'
        "scrubwright round mid-cylindrical.toml --pack pack.toml --log round.jsonl --who Ana --skill operator\n"
        "scrubwright round mid-cylindrical.toml --pack pack.toml --log round.jsonl --who Leo --skill technician \\\n"
        '    --release brake-stops --reason "Brake relined, stop taped"',
    )
    parser.add_argument("plate", metavar="PLATE", help="The machine's plate (TOML).")
    describe_machine(parser)
    parser.add_argument("--readings", metavar="FILE", help="The battery's readings; their verdict counts too.")
    parser.add_argument(
        "--for",
        dest="occasions",
        metavar="WHEN",
        default=Occasion.BEFORE_SHIFT.value,
        help='What the round is for, such as "after shift" or "before shift, weekly"; else before shift.',
    )
    parser.add_argument("--log", metavar="FILE", help="The machine's log of walk-rounds; made where there is none.")
    parser.add_argument("--who", metavar="NAME", help="Who goes round or closes a stop.")
    parser.add_argument(
        "--skill", metavar="SKILL", choices=[*Skill], help="Of that person: operator, lead, technician."
    )
    parser.add_argument(
        "--meter",
        metavar="NAME=HOURS",
        action="append",
        default=[],
        help="What an hour meter shows, such as brush=412.6. May be repeated.",
    )
    parser.add_argument("--release", metavar="CHECK", help="Close the open stop of this check.")
    parser.add_argument("--reason", metavar="WORDS", help="Why it may be closed: what was mended.")
    parser.add_argument("--pdf", metavar="FILE", help="Write the card to print, A5.")
    parser.add_argument(
        "--json",
        metavar="FILE",
        nargs="?",
        const=STANDARD_OUTPUT,
        help="Write card and verdict as JSON; without FILE, instead of the text.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What was asked for, read from its files."""

    arguments: argparse.Namespace
    machine: str
    facts: frozenset[Term]
    catalogue: Catalogue
    occasions: tuple[Occasion, ...]
    battery: PackVerdict | None
    by: Person | None
    clock: Callable[[], datetime]
    teller: Teller

    @property
    def log_path(self) -> Path | None:
        return None if self.arguments.log is None else Path(self.arguments.log)

    def say(self, text: str) -> None:
        """Show something beside the answer; a prompt ends in a space."""
        beside = sys.stderr if self.arguments.json == STANDARD_OUTPUT else sys.stdout
        print(printable_lines(text), end="" if text.endswith(" ") else "\n", flush=True, file=beside)

    def card(self, log: RoundLog | None, begun: int | None) -> RoundCard:
        history = None if log is None else log.history(begun, self.clock())
        return round_card(
            self.catalogue,
            self.machine,
            self.facts,
            self.occasions,
            now=self.clock(),
            history=history,
            skill=Skill.OPERATOR if self.by is None else self.by.skill,
        )


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when the card is told or the round is kept."""
    _check(arguments)
    asked = _asked(arguments, teller)
    if asked.log_path is None:
        card = asked.card(None, None)
        _write(asked, card, None)
        if arguments.json != STANDARD_OUTPUT:
            sys.stdout.write(card_text(card, teller))
        return DONE
    _keep_meters(asked, asked.log_path)
    if arguments.release is not None:
        _release(asked, asked.log_path)
    elif asked.by is not None:
        _walk(asked, asked.log_path)
    _tell(asked, asked.log_path)
    return DONE


def _check(arguments: argparse.Namespace) -> None:
    if (arguments.pack is None) == (arguments.battery is None):
        raise BadInput("Say which battery it has: --battery flooded, sealed or lithium, or its file with --pack.")
    if arguments.readings is not None and arguments.pack is None:
        raise BadInput("Readings belong to a pack; name its file with --pack.")
    if (arguments.who is None) != (arguments.skill is None):
        raise BadInput("Give --who and --skill together: a name, and operator, lead or technician.")
    needs_log = (arguments.who, arguments.release, *arguments.meter)
    if arguments.log is None and any(each is not None for each in needs_log):
        raise BadInput("Answers are kept in a log; name its file with --log.")
    if (arguments.release is None) != (arguments.reason is None):
        raise BadInput("A stop is closed with --release and --reason together.")
    if arguments.release is not None and arguments.who is None:
        raise BadInput("Say who closes the stop with --who and --skill.")
    check_files(
        (arguments.plate, arguments.pack, arguments.readings, *arguments.shop),
        (arguments.log, arguments.pdf, arguments.json),
    )


def _asked(arguments: argparse.Namespace, teller: Teller) -> _Asked:
    clock = _clock(arguments)
    plate = plate_from(Path(arguments.plate))
    paper = None if arguments.pack is None else pack_from(Path(arguments.pack))
    battery = BATTERIES[arguments.battery] if paper is None else battery_of(paper.pack)
    return _Asked(
        arguments=arguments,
        machine=plate.name,
        facts=facts_of(plate, battery, site_of(arguments.site)),
        catalogue=catalogue_with([Path(each) for each in arguments.shop]),
        occasions=_occasions(arguments.occasions),
        battery=_battery_verdict(arguments, clock()),
        by=None if arguments.who is None else Person(name=arguments.who, skill=Skill(arguments.skill)),
        clock=clock,
        teller=teller,
    )


def _clock(arguments: argparse.Namespace) -> Callable[[], datetime]:
    if arguments.day is None:
        return lambda: datetime.now().replace(microsecond=0)
    day = day_of("--day", arguments.day)
    return lambda: datetime.combine(day, datetime.now().time()).replace(microsecond=0)


def _occasions(text: str) -> tuple[Occasion, ...]:
    words = dict.fromkeys(" ".join(each.lower().split()) for each in text.split(",") if each.strip())
    for word in words:
        if word not in set(Occasion):
            raise BadInput('No round is for "{given}"; choose from: {known}.', given=word, known=", ".join(Occasion))
    return tuple(Occasion(word) for word in words)


def _battery_verdict(arguments: argparse.Namespace, now: datetime) -> PackVerdict | None:
    if arguments.readings is None:
        return None
    # The statistics behind a look take half a second to load, so only who asks for a look waits for them.
    from scrubwright.jobs.pack_look import pack_look
    from scrubwright.paperwork.readings import read_readings

    paper = pack_from(Path(arguments.pack))
    readings = read_readings(Path(arguments.readings), paper, today=now.date())
    return pack_look(paper.pack, paper.charger, readings.visits, at=now).verdict


def _keep_meters(asked: _Asked, path: Path) -> None:
    for given in asked.arguments.meter:
        name, _, hours = given.partition("=")
        meters = [each.value for each in WornBy if each is not WornBy.CALENDAR]
        if name.strip().lower() not in meters:
            raise BadInput(
                '--meter is "{given}"; enter a meter and its hours, such as brush=412.6. The meters are: {known}.',
                given=given,
                known=", ".join(meters),
            )
        read_round_log(path, asked.machine, asked.clock())
        line = MeterLine(at=asked.clock(), meter=WornBy(name.strip().lower()), shown_h=duration_h("--meter", hours))
        append(path, line, asked.clock())


def _release(asked: _Asked, path: Path) -> None:
    assert asked.by is not None
    log = read_round_log(path, asked.machine, asked.clock())
    arguments = asked.arguments
    release = release_of(arguments.release, arguments.reason, log.stops, at=asked.clock(), by=asked.by)
    append(path, release_line(release), asked.clock())
    asked.say(asked.teller.words("Closed: {check}.", check=release.check))


def _walk(asked: _Asked, path: Path) -> None:
    assert asked.by is not None
    log = read_round_log(path, asked.machine, asked.clock())
    begun = log.unfinished(asked.occasions, asked.clock())
    if begun is None:
        line = BegunLine(at=asked.clock(), machine=asked.machine, occasions=asked.occasions, by=person_line(asked.by))
        begun = log.next_number
        append(path, line, asked.clock())
    else:
        asked.say(wrapped(asked.teller.words("This round was begun before. It goes on where it stopped.")))
    walk(
        path,
        log,
        asked.card(log, begun),
        begun,
        by=asked.by,
        clock=asked.clock,
        teller=asked.teller,
        typed=_typed_lines(),
        say=asked.say,
    )


def _typed_lines() -> Iterator[str]:
    yield from iter(sys.stdin.readline, "")


def _tell(asked: _Asked, path: Path) -> None:
    log = read_round_log(path, asked.machine, asked.clock())
    for warning in log.warnings:
        print(wrapped(asked.teller.tell(warning)), file=sys.stderr)
    begun = log.current(asked.occasions, asked.clock())
    card = asked.card(log, begun)
    answers = {} if begun is None else log.answers_of(begun)
    fit = fit_to_run(card, answers, log.stops, battery=asked.battery, broken_lines=len(log.broken))
    _write(asked, card, fit)
    if asked.arguments.json == STANDARD_OUTPUT:
        return
    if asked.by is None:
        print(card_text(card, asked.teller))
    if Occasion.AFTER_SHIFT in asked.occasions:
        print(after_text(after_shift(card, answers, log.stops, log.reads), asked.teller))
    cues = teaching_cues(log.done_rounds({check.identity: check.takes_min for check in asked.catalogue.checks}))
    sys.stdout.write("\n" + verdict_text(fit, asked.teller, cues))


def _write(asked: _Asked, card: RoundCard, fit: FitAnswer | None) -> None:
    arguments = asked.arguments
    write_asked(((arguments.pdf, lambda: _sheet(asked, card)), (arguments.json, lambda: round_json(card, fit))))
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(round_json(card, fit))


def _sheet(asked: _Asked, card: RoundCard) -> bytes:
    from scrubwright.paperwork.round_sheet import round_sheet

    return round_sheet(card, asked.clock().date(), asked.teller)
