"""The words that say what a machine is and where it works, and the conditions made of them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from typing import Literal

from scrubwright.measures.errors import BadInput

_Kind = Literal["all", "any", "not", "term"]


class Term(StrEnum):
    """One fact of a machine or of its site."""

    ALWAYS = "always"
    DISC_DECK = "disc deck"
    CYLINDRICAL_DECK = "cylindrical deck"
    ORBITAL_DECK = "orbital deck"
    FLOODED_BATTERY = "flooded battery"
    SEALED_BATTERY = "sealed battery"
    LITHIUM_BATTERY = "lithium battery"
    SIDE_BRUSH = "side brush"
    SWEEP_HOPPER = "sweep hopper"
    ONBOARD_DOSING = "on-board dosing"
    WATER_RECYCLING = "water recycling"
    SECOND_VACUUM = "second vacuum"
    SPRAY_WAND = "spray wand"
    OVERHEAD_GUARD = "overhead guard"
    SEAT_BELT = "seat belt"
    ECONOMY_SETTING = "economy setting"
    INSPECTION_DOME = "inspection dome"
    ONBOARD_CHARGER = "on-board charger"
    HYDRAULICS = "hydraulics"
    AIR_TYRES = "air tyres"
    WARNING_LIGHTS = "warning lights"
    REVERSE_ALARM = "reverse alarm"
    LEVEL_GAUGE_TUBE = "level gauge tube"
    CHARGE_COUNTER = "charge counter"
    FIRE_EXTINGUISHER = "fire extinguisher"
    RAMPS = "ramps"
    PUBLIC_PRESENT = "public present"
    LIFT = "lift"
    DARK_AREAS = "dark areas"
    OPEN_DOCKS = "open docks"


DECKS = (Term.DISC_DECK, Term.CYLINDRICAL_DECK, Term.ORBITAL_DECK)
BATTERIES = (Term.FLOODED_BATTERY, Term.SEALED_BATTERY, Term.LITHIUM_BATTERY)
SITE_TERMS = (Term.RAMPS, Term.PUBLIC_PRESENT, Term.LIFT, Term.DARK_AREAS, Term.OPEN_DOCKS)
OPTION_TERMS = tuple(term for term in Term if term not in (Term.ALWAYS, *DECKS, *BATTERIES, *SITE_TERMS))

_TOKEN = re.compile(r"\(|\)|\b(?:and|or|not)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """When a line of the catalogue applies, such as "flooded battery and not (ramps or lift)".

    Examples
    --------
    >>> ramps = condition("ramps and not disc deck")
    >>> ramps.holds(frozenset({Term.RAMPS, Term.ORBITAL_DECK}))
    True
    >>> condition("disc deck and orbital deck").reachable
    False
    """

    kind: _Kind
    parts: tuple["Condition", ...] = ()
    term: Term = Term.ALWAYS

    def holds(self, facts: frozenset[Term]) -> bool:
        """Whether it holds where exactly these facts do."""
        match self.kind:
            case "term":
                return self.term is Term.ALWAYS or self.term in facts
            case "not":
                return not self.parts[0].holds(facts)
            case "all":
                return all(part.holds(facts) for part in self.parts)
            case "any":
                return any(part.holds(facts) for part in self.parts)

    @property
    def terms(self) -> frozenset[Term]:
        """The facts that it asks about."""
        named = {self.term} if self.kind == "term" and self.term is not Term.ALWAYS else set()
        return frozenset(named.union(*(part.terms for part in self.parts)))

    @property
    def reachable(self) -> bool:
        """Whether any machine at any site meets it: one deck, one kind of battery, options as one likes."""
        return any(self.holds(facts) for facts in _worlds(self.terms))

    def follows_from(self, other: "Condition") -> bool:
        """Whether it holds wherever the other one does."""
        return all(self.holds(facts) for facts in _worlds(self.terms | other.terms) if other.holds(facts))


def both(first: Condition, second: Condition) -> Condition:
    """Where both conditions hold."""
    parts = tuple(each for each in (first, second) if each.kind != "term" or each.term is not Term.ALWAYS)
    if len(parts) < 2:
        return parts[0] if parts else Condition(kind="term")
    return Condition(kind="all", parts=parts)


def condition(text: str) -> Condition:
    """A condition read from its words.

    Parameters
    ----------
    text
        Facts joined by "and", "or", "not" and brackets; "and" binds closer than "or".

    Raises
    ------
    BadInput
        A word that is no fact, or a sentence that breaks off.
    """
    tokens = _tokens(text)
    if not tokens:
        raise BadInput(
            'applies_when is empty; write "always", or facts joined by and, or, not. The facts are: {known}.',
            known=_known(),
        )
    found, rest = _alternatives(tokens, text)
    if rest:
        raise _broken(text, rest[0])
    return found


def _tokens(text: str) -> list[str]:
    tokens: list[str] = []
    at = 0
    for mark in _TOKEN.finditer(text):
        tokens += [text[at : mark.start()].strip(), mark.group()]
        at = mark.end()
    tokens.append(text[at:].strip())
    return [" ".join(token.split()) for token in tokens if token]


def _alternatives(tokens: list[str], text: str) -> tuple[Condition, list[str]]:
    found, rest = _demands(tokens, text)
    parts = [found]
    while rest and rest[0] == "or":
        found, rest = _demands(rest[1:], text)
        parts.append(found)
    return (parts[0] if len(parts) == 1 else Condition(kind="any", parts=tuple(parts))), rest


def _demands(tokens: list[str], text: str) -> tuple[Condition, list[str]]:
    found, rest = _single(tokens, text)
    parts = [found]
    while rest and rest[0] == "and":
        found, rest = _single(rest[1:], text)
        parts.append(found)
    return (parts[0] if len(parts) == 1 else Condition(kind="all", parts=tuple(parts))), rest


def _single(tokens: list[str], text: str) -> tuple[Condition, list[str]]:
    if not tokens:
        raise BadInput(
            'applies_when = "{given}" breaks off; put a fact after the last word. The facts are: {known}.',
            given=text,
            known=_known(),
        )
    first, rest = tokens[0], tokens[1:]
    if first == "not":
        found, rest = _single(rest, text)
        return Condition(kind="not", parts=(found,)), rest
    if first == "(":
        found, rest = _alternatives(rest, text)
        if not rest or rest[0] != ")":
            raise BadInput('applies_when = "{given}" opens a bracket that it does not close; add ")".', given=text)
        return found, rest[1:]
    if first not in set(Term):
        raise _broken(text, first)
    return Condition(kind="term", term=Term(first)), rest


def _broken(text: str, word: str) -> BadInput:
    return BadInput(
        'applies_when = "{given}" cannot be read at "{word}". Join facts by and, or, not. The facts are: {known}.',
        given=text,
        word=word,
        known=_known(),
    )


def _known() -> str:
    return ", ".join(Term)


def _worlds(asked: frozenset[Term]) -> Iterator[frozenset[Term]]:
    """All machines that differ in these facts."""
    # A kind that nobody asks about stands for all of them.
    decks = [frozenset({deck}) for deck in DECKS]
    batteries = [frozenset({battery}) for battery in BATTERIES]
    free = sorted(asked - set(DECKS) - set(BATTERIES))
    for deck, battery in product(decks, batteries):
        for fitted in product((False, True), repeat=len(free)):
            yield deck | battery | {term for term, is_fitted in zip(free, fitted, strict=True) if is_fitted}
