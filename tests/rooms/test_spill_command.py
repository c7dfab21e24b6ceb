"""`scrubwright spill` tells amounts, steps and what never to do."""

import pytest

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.cli.spill_command import volume_l
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem


@pytest.fixture(autouse=True)
def plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("SCRUBWRIGHT_LANGUAGE", "SCRUBWRIGHT_UNITS", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)


def test_the_amount_comes_first_then_numbers_steps_and_never(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spill", "1", "--gravity", "1.28"]) == DONE
    text = capsys.readouterr().out
    # 980 g and 618 g: tests/worked/test_spill_numbers.py.
    assert text.startswith("1 L of acid takes 980 g of baking soda, or 618 g of soda ash.\n")
    headings = [line for line in text.splitlines() if line and not line.startswith(" ")][1:]
    assert headings == ["Numbers", "What to do", "What never to do", "Take care"]
    assert max(len(line) for line in text.splitlines()) <= 80


def test_a_gravity_that_was_read_is_measured_and_else_common_practice(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spill", "1", "--gravity", "1,28"]) == DONE
    assert " ".join(capsys.readouterr().out.splitlines()[3].split()) == "Gravity of the acid 1.280 measured"
    assert main(["spill", "1"]) == DONE
    assert " ".join(capsys.readouterr().out.splitlines()[3].split()) == "Gravity of the acid 1.300 common practice"


def test_it_is_told_in_spanish_and_in_pounds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spill", "1", "--gravity", "1.28", "--units", "us", "--language", "es"]) == DONE
    text = capsys.readouterr().out
    # A gallon, 3.785 L: 3.785 x 979.9 g = 3.71 kg = 8.2 lb.
    assert "8,2 lb de bicarbonato" in text.splitlines()[0]
    assert "Qué no hacer nunca" in text
    assert max(len(line) for line in text.splitlines()) <= 80


@pytest.mark.parametrize(
    ("text", "litres"),
    [("0.5", 0.5), ("0,5", 0.5), (" 500 ML ", 0.5), ("2L", 2.0), ("1qt", 0.946352946), ("1 gal", 3.785411784)],
)
def test_an_amount_is_typed_with_or_without_its_unit(text: str, litres: float) -> None:
    assert volume_l(text) == pytest.approx(litres)


def test_a_bare_amount_is_gallons_for_whoever_reads_gallons() -> None:
    assert volume_l("1", UnitSystem.US) == pytest.approx(3.785411784)


@pytest.mark.parametrize("text", ["", "0", "0ml", "some", "-1", "1 kg", "nan", "1e3"])
def test_what_is_no_amount_is_refused_with_examples(text: str) -> None:
    with pytest.raises(BadInput, match=r"The spill is .*500ml"):
        volume_l(text)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["spill"], "Something is missing: LITRES."),
        (["spill", "1", "--gravity", "heavy"], '--gravity is "heavy"; enter what the hydrometer shows'),
        (["spill", "1", "--gravity", "1280"], "The gravity is 1280; enter it with its decimal point, 1.280."),
        (["spill", "1", "--gravity", "1.0"], "A gravity of 1.000 is not that of acid out of a cell; enter one from"),
        (["spill", "500"], "500 L of acid is more than this helps with"),
    ],
)
def test_what_cannot_be_used_ends_with_2_and_one_sentence(
    line: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(line) == REFUSED
    told = capsys.readouterr()
    assert told.err.startswith(said)
    assert told.out == ""
