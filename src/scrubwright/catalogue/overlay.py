"""A shop's own lines laid over the catalogue: add, change a limit, switch off a note; never weaken a stop rule.

Two halves: the tables are laid over each other before they become records, so that a shop writes
only what it changes; then the finished catalogue is held against the one before it.
"""

from collections.abc import Mapping
from typing import Any

from scrubwright.catalogue.checks import Check, Measured, Result
from scrubwright.catalogue.parts import Catalogue
from scrubwright.measures.errors import BadInput

# The tables of a part whose rows are known by their id.
NAMED_TABLES = ("caution", "check", "service", "fault", "lesson")
OFF = "off"

Tables = Mapping[str, Any]


def laid_over(base: Tables, over: Tables, file: str) -> tuple[dict[str, Any], dict[str, tuple[str, ...]]]:
    """A part's tables with a shop's laid over them, and what they changed.

    Parameters
    ----------
    base
        The part as it was; empty for a new one.
    over
        The shop's tables; rows are matched by `id`, a row with `off = true` is taken out.
    file
        The shop's file, for the record of changes.

    Returns
    -------
    tuple
        The merged tables; by id of the line, which keys came from this file, as "file: key".

    Raises
    ------
    BadInput
        A row without id, or `off` on a line that is not there.
    """
    merged = {key: value for key, value in base.items() if key not in NAMED_TABLES}
    changed: dict[str, tuple[str, ...]] = {}
    for key, value in over.items():
        if key not in NAMED_TABLES:
            merged[key] = _merged(merged.get(key), value)
    for table in NAMED_TABLES:
        rows = {row["id"]: row for row in base.get(table, ())}
        for row in over.get(table, ()):
            identity = _identity(row, table)
            if row.get(OFF) is True:
                if rows.pop(identity, None) is None:
                    raise BadInput(
                        '{file} switches off "{id}", which the catalogue does not have; check the id.',
                        file=file,
                        id=identity,
                    )
                continue
            changed[identity] = tuple(f"{file}: {key}" for key in row if key != "id")
            rows[identity] = _merged(rows.get(identity), row)
        if rows:
            merged[table] = list(rows.values())
    return merged, changed


def _identity(row: Any, table: str) -> str:
    identity = row.get("id") if isinstance(row, dict) else None
    if not isinstance(identity, str):
        raise BadInput("Each [[{table}]] needs an id, so that it can be told from the others.", table=table)
    return identity


def _merged(before: Any, after: Any) -> Any:
    """Tables key by key; anything else, lists included, as a whole."""
    if isinstance(before, dict) and isinstance(after, dict):
        return before | {key: _merged(before.get(key), value) for key, value in after.items()}
    return after


def check_no_weaker(before: Catalogue, after: Catalogue) -> None:
    """Refuse a catalogue whose stop rules are weaker than those it was made from.

    A stop must stay: it must hold on at least the same machines and occasions, stop for at least what
    it stopped for, and be released by people of at least the same skill. Of the rest only notes may
    be missing.

    Raises
    ------
    BadInput
        A stop rule is gone or weaker, or more than a note was switched off.
    """
    kept = {check.identity: check for check in after.checks}
    for check in before.checks:
        now = kept.get(check.identity)
        if now is None and check.can_stop:
            raise BadInput(
                'The stop rule "{check}" is switched off. A stop rule can be made stricter, never removed; '
                "take that line out.",
                check=check.identity,
            )
        if now is None and check.if_not is not Result.NOTE:
            raise BadInput(
                '"{check}" is switched off, but only notes can be; give it other limits instead.', check=check.identity
            )
        if now is not None and check.can_stop:
            _check_stop(check, now)


def _check_stop(before: Check, after: Check) -> None:
    if weaker := _weaker(before, after):
        raise BadInput(
            'The stop rule "{check}" would become weaker at {key}. A stop rule can be made stricter, never weaker; '
            "put back what the catalogue has, or something stricter.",
            check=before.identity,
            key=weaker,
        )


def _weaker(before: Check, after: Check) -> str:
    """The first key at which a stop rule has become weaker; empty where at none."""
    if not set(before.when) <= set(after.when):
        return "when"
    if not after.applies_when.follows_from(before.applies_when):
        return "applies_when"
    if before.if_not is Result.STOP and after.if_not is not Result.STOP:
        return "if_not"
    if not _stops_as_often(before, after):
        return "stop_when"
    if before.release is not None and (after.release is None or after.release.rank < before.release.rank):
        return "release"
    if _stops(before) > _stops(after):
        return "seen"
    if before.measured is not None and not _as_strict(before.measured, after.measured):
        return "measure"
    longer = (
        (before.every_h, after.every_h, "every_h"),
        (before.every_years, after.every_years, "every_years"),
        (before.idle_days, after.idle_days, "idle_days"),
    )
    return next((key for was, now, key in longer if was is not None and (now is None or now > was)), "")


def _stops_as_often(before: Check, after: Check) -> bool:
    if after.if_not is Result.STOP or before.stop_when is None:
        return True
    return after.stop_when is not None and after.stop_when.follows_from(before.stop_when)


def _stops(check: Check) -> int:
    return sum(each.result is check.if_not for each in check.seen)


def _as_strict(before: Measured, after: Measured | None) -> bool:
    if after is None or (before.against, before.name) != (after.against, after.name):
        return False
    low_holds = before.low is None or (after.low is not None and after.low >= before.low)
    return low_holds and (before.high is None or (after.high is not None and after.high <= before.high))
