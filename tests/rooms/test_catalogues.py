"""A shop's own files laid over the catalogue: what they may change, and what is refused."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from scrubwright.catalogue.checks import Check, Result
from scrubwright.catalogue.parts import Catalogue
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.paperwork import catalogues
from scrubwright.paperwork.catalogues import catalogue_with
from scrubwright.paperwork.wording import Language, Teller

WHEELS = """
id = "wheels"
name = { en = "Wheels", es = "Ruedas" }
does = { en = "They carry it.", es = "La llevan." }
station = "left side"
source = "common practice"

[[check]]
id = "wheel-nuts"
when = ["before shift", "weekly"]
state = "key off"
look = { en = "Try each nut by hand.", es = "Pruebe cada tuerca con la mano." }
good = { en = "All are tight.", es = "Todas aprietan." }
why = { en = "A wheel that comes off tips the machine.", es = "Una rueda suelta vuelca la máquina." }
do = { en = "Do not drive. Call a technician.", es = "No conduzca. Llame a un técnico." }
if_not = "stop"
release = "lead"
skill = "operator"
minutes = 0.5
ppe = ["gloves"]
seen = [
    { saw = { en = "Tight", es = "Aprietan" }, result = "good" },
    { saw = { en = "Loose", es = "Flojas" }, result = "stop" },
]

[[check]]
id = "tread-depth"
when = ["by hours"]
every_h = 250
meter = "traction"
state = "key off"
look = { en = "Measure the tread: {at_least_m} or more.", es = "Mida el dibujo: {at_least_m} o más." }
good = { en = "Deep enough.", es = "Suficiente." }
why = { en = "A bald tyre slips.", es = "Una rueda lisa patina." }
do = { en = "Order a tyre.", es = "Pida una rueda." }
if_not = "fix"
stop_when = "ramps"
release = "technician"
skill = "lead"
minutes = 2
ppe = []
measure = { what = { en = "Tread", es = "Dibujo" }, unit = "m", at_least = 0.004 }

[[check]]
id = "hub-caps"
when = ["weekly"]
state = "key off"
look = { en = "Look at the caps.", es = "Mire los tapacubos." }
good = { en = "All there.", es = "Están todos." }
why = { en = "They keep dirt out.", es = "Protegen de la suciedad." }
do = { en = "Press on a new one.", es = "Ponga uno nuevo." }
if_not = "note"
skill = "operator"
minutes = 0.1
ppe = []
seen = [
    { saw = { en = "All there", es = "Todos" }, result = "good" },
    { saw = { en = "One is gone", es = "Falta uno" }, result = "note" },
]

[[service]]
id = "drive-tyre"
name = { en = "Drive tyre", es = "Rueda motriz" }
action = "replace"
count = 1
measured = { en = "Down to {limit_m}.", es = "Hasta {limit_m}." }
meter = "traction"
life_h = [800, 2500]
limit_m = 0.004
minutes = 40
cost_ratio = [5, 12]
"""


@pytest.fixture(autouse=True)
def own_catalogue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The same reader on a catalogue of one part, so that these tests do not hang on the wording of the real one."""
    folder = tmp_path / "catalogue" / "parts"
    folder.mkdir(parents=True)
    (folder / "wheels.toml").write_text(WHEELS, encoding="utf-8")
    monkeypatch.setattr(catalogues, "files", lambda package: tmp_path / "catalogue")
    catalogues.shipped_tables.cache_clear()
    catalogues.shipped_catalogue.cache_clear()
    yield
    catalogues.shipped_tables.cache_clear()
    catalogues.shipped_catalogue.cache_clear()


def with_shop(tmp_path: Path, text: str) -> Catalogue:
    shop = tmp_path / "shop.toml"
    shop.write_text('id = "wheels"\n' + text, encoding="utf-8")
    return catalogue_with([shop])


def check_of(catalogue: Catalogue, identity: str) -> Check:
    return next(check for check in catalogue.checks if check.identity == identity)


def test_a_text_is_told_in_each_language_with_its_number_in_the_readers_units() -> None:
    look = check_of(catalogue_with([]), "tread-depth").look
    assert Teller().tell(look) == "Measure the tread: 4 mm or more."
    assert Teller(language=Language.SPANISH).tell(look) == "Mida el dibujo: 4 mm o más."


def test_a_changed_limit_carries_the_shops_file_as_its_ground(tmp_path: Path) -> None:
    catalogue = with_shop(tmp_path, '[[check]]\nid = "tread-depth"\nmeasure = { at_least = 0.006 }\n')
    changed = check_of(catalogue, "tread-depth")
    assert changed.measured is not None
    assert changed.measured.low == 0.006
    assert changed.grounds.changed == ("shop.toml: measure",)
    assert changed.grounds.origin is Origin.COMMON_PRACTICE


def test_a_shop_adds_a_part_and_a_check_of_its_own(tmp_path: Path) -> None:
    trailer, bolts = tmp_path / "trailer.toml", tmp_path / "bolts.toml"
    trailer.write_text(WHEELS.replace('id = "', 'id = "trailer-'), encoding="utf-8")
    nuts = WHEELS[WHEELS.index("[[check]]") : WHEELS.index('[[check]]\nid = "tread')]
    bolts.write_text('id = "wheels"\n' + nuts.replace("wheel-nuts", "wheel-bolts"), encoding="utf-8")
    catalogue = catalogue_with([trailer, bolts])
    assert check_of(catalogue, "wheel-bolts").if_not is Result.STOP
    assert [part.identity for part in catalogue.parts] == ["wheels", "trailer-wheels"]


def test_a_note_can_be_switched_off(tmp_path: Path) -> None:
    catalogue = with_shop(tmp_path, '[[check]]\nid = "hub-caps"\noff = true\n')
    assert "hub-caps" not in {check.identity for check in catalogue.checks}


def test_a_stop_rule_can_be_made_stricter(tmp_path: Path) -> None:
    catalogue = with_shop(tmp_path, '[[check]]\nid = "wheel-nuts"\nrelease = "technician"\n')
    assert check_of(catalogue, "wheel-nuts").release == "technician"


@pytest.mark.parametrize(
    ("shop", "says"),
    [
        ('[[check]]\nid = "wheel-nuts"\noff = true\n', 'stop rule "wheel-nuts" is switched off'),
        ('[[check]]\nid = "tread-depth"\noff = true\n', 'stop rule "tread-depth" is switched off'),
        ('[[check]]\nid = "wheel-nuts"\nwhen = ["weekly"]\n', "weaker at when"),
        ('[[check]]\nid = "wheel-nuts"\napplies_when = "ramps"\n', "weaker at applies_when"),
        ('[[check]]\nid = "tread-depth"\nstop_when = "ramps and lift"\n', "weaker at stop_when"),
        ('[[check]]\nid = "tread-depth"\nrelease = "lead"\n', "weaker at release"),
        ('[[check]]\nid = "tread-depth"\nmeasure = { at_least = 0.002 }\n', "weaker at measure"),
        ('[[check]]\nid = "tread-depth"\nevery_h = 500\n', "weaker at every_h"),
        (
            (
                '[[check]]\nid = "wheel-nuts"\nif_not = "fix"\nstop_when = "ramps"\nseen = ['
                '{ saw = { en = "Tight", es = "Aprietan" }, result = "good" }, '
                '{ saw = { en = "Loose", es = "Flojas" }, result = "fix" }]\n'
            ),
            "weaker at if_not",
        ),
        ('[[check]]\nid = "wheel-nutz"\noff = true\n', 'switches off "wheel-nutz"'),
        ("[[check]]\noff = true\n", "needs an id"),
        ('[[check]]\nid = "tread-depth"\nlok = { en = "a", es = "b" }\n', 'did you mean "check.look'),
        ('[[check]]\nid = "own"\n', "check 4.when is missing"),
        ('[[check]]\nid = "hub-caps"\napplies_when = "disc deck and orbital deck"\n', "No machine can meet"),
        ('[[check]]\nid = "hub-caps"\ncautions = ["sharp"]\n', 'names the caution "sharp"'),
        ('[[check]]\nid = "hub-caps"\nlook = { en = "At {at_most_m}", es = "A" }\n', "different numbers"),
        ('[[check]]\nid = "hub-caps"\nsource = "published"\n', "but not where"),
        ('[[check]]\nid = "hub-caps"\nminutes = -1\n', "does not fit there"),
        ('station = "roof"\n', "it may be: around, seat"),
        ('[[service]]\nid = "drive-tyre"\nlife_h = [2500, 800]\n', "the low one first"),
        ('[[check]]\nid = "hub-caps"\napplies_when = "cyl deck"\n', 'cannot be read at "cyl deck"'),
    ],
)
def test_what_a_shop_may_not_write_is_refused_with_its_file_and_line(tmp_path: Path, shop: str, says: str) -> None:
    with pytest.raises(UnreadablePaper, match=r"shop\.toml") as refused:
        with_shop(tmp_path, shop)
    assert says in str(refused.value)


def test_a_file_that_names_no_part_is_refused(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("[[check]]\n", encoding="utf-8")
    with pytest.raises(UnreadablePaper, match="names no part"):
        catalogue_with([shop])


NUTS = WHEELS[WHEELS.index("[[check]]") : WHEELS.index('[[check]]\nid = "tread')]


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        (', es = "Pruebe cada tuerca con la mano."', "", "look.es is missing"),
        ('if_not = "stop"\n', "", "if_not is missing"),
        ('release = "lead"\n', "", "names who may release it"),
        ('release = "lead"', 'release = "operator"', "not by the operator"),
        ('result = "stop"', 'result = "fix"', "if_not differ"),
        ('ppe = ["gloves"]', 'ppe = ["gloves", "helmet"]', "it may be: gloves"),
        ('id = "wheel-nuts"', 'id = "Wheel nuts"', "does not fit there"),
        ('"weekly"]', '"weekly", "yearly"]', "is yearly only with every_years"),
    ],
)
def test_a_new_check_is_refused_until_it_is_complete(tmp_path: Path, before: str, after: str, says: str) -> None:
    assert before in NUTS
    own = NUTS.replace(before, after).replace("wheel-nuts", "wheel-bolts")
    with pytest.raises(UnreadablePaper, match=r"shop\.toml") as refused:
        with_shop(tmp_path, own)
    assert says in str(refused.value)


def test_two_lines_of_one_id_are_refused(tmp_path: Path) -> None:
    own = tmp_path / "trailer.toml"
    own.write_text(WHEELS.replace('id = "wheels"', 'id = "trailer"'), encoding="utf-8")
    with pytest.raises(UnreadablePaper, match='are called "wheel-nuts"'):
        catalogue_with([own])
