"""What a machine is and where it works, in the catalogue's own words: from its plate, its battery and its site."""

from scrubwright.battery.pack import SEALED, Chemistry, Pack
from scrubwright.catalogue.terms import BATTERIES, SITE_TERMS, Term
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput


def facts_of(plate: Plate, battery: Term, site: frozenset[Term] = frozenset()) -> frozenset[Term]:
    """The facts of a machine: its deck, its options, its kind of battery, and what holds where it works.

    Parameters
    ----------
    plate
        The machine.
    battery
        Its kind of battery; there is no usual one.
    site
        What holds at its site.

    Raises
    ------
    BadInput
        A battery that is none, or a fact of a site that is none.
    """
    if battery not in BATTERIES:
        raise BadInput(
            '"{given}" is no kind of battery; choose from: {known}.', given=battery, known=", ".join(BATTERIES)
        )
    for term in site:
        if term not in SITE_TERMS:
            raise BadInput('"{given}" says nothing of a site; choose from: {known}.', given=term, known=_site_words())
    deck = Term(f"{plate.deck.kind} deck")
    return frozenset({deck, battery, *site, *(Term(option.value) for option in plate.options)})


def battery_of(pack: Pack) -> Term:
    """The kind of battery that a pack is, in the catalogue's words.

    Parameters
    ----------
    pack
        The pack.
    """
    if pack.chemistry in SEALED:
        return Term.SEALED_BATTERY
    return Term.FLOODED_BATTERY if pack.chemistry is Chemistry.FLOODED else Term.LITHIUM_BATTERY


def site_of(text: str) -> frozenset[Term]:
    """What holds at a site, from words such as "ramps, public present".

    Parameters
    ----------
    text
        Facts of a site between commas; none where nothing holds.

    Raises
    ------
    BadInput
        A word that is no fact of a site.

    Examples
    --------
    >>> sorted(site_of("ramps, public present"))
    [<Term.PUBLIC_PRESENT: 'public present'>, <Term.RAMPS: 'ramps'>]
    """
    words = [" ".join(word.lower().split()) for word in text.split(",") if word.strip()]
    for word in words:
        if word not in set(SITE_TERMS):
            raise BadInput('"{given}" says nothing of a site; choose from: {known}.', given=word, known=_site_words())
    return frozenset(Term(word) for word in words)


def _site_words() -> str:
    return ", ".join(SITE_TERMS)
