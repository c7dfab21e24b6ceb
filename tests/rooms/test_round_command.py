"""`scrubwright round` from the line to the verdict: card, answers, stops, release, half-finished rounds."""

import io
import json
import re
from pathlib import Path

import pypdfium2
import pytest

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.cli.round_walk import typed_reading
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATE = EXAMPLES / "plates" / "mid_cylindrical_080.toml"
PACKS = EXAMPLES / "packs"
LINE = ["round", str(PLATE), "--battery", "flooded", "--day", "2026-03-10"]


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture
def asked(tmp_path: Path) -> list[str]:
    return [*LINE, "--log", str(tmp_path / "round.jsonl"), "--who", "Ana", "--skill", "operator"]


class _Good(io.StringIO):
    """Somebody who finds everything good: 1 for what is seen, and a number within the limits where one is asked."""

    def __init__(self, card: dict[str, object], bad: dict[str, str] | None = None) -> None:
        rows = card["rows"]
        assert isinstance(rows, list)
        lines = []
        for row in rows:
            lines.append((bad or {}).get(row["check"]) or _good_value(row["measured"]))
        super().__init__("\n".join(lines) + "\n")


def _good_value(measured: dict[str, object] | None) -> str:
    if measured is None:
        return "1"
    if str(measured["name"]).endswith("_k"):
        return "20C"
    low, high = measured["low"] or 0.0, measured["high"]
    assert isinstance(low, float)
    value = low + 1.0 if high is None else (low + float(str(high))) / 2
    name = str(measured["name"])
    return f"{1000 * value} mm" if name.endswith("_m") else str(value)


def card(capsys: pytest.CaptureFixture[str], line: list[str] | None = None) -> dict[str, object]:
    assert main([*(line or LINE), "--json"]) == DONE
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def walk(asked: list[str], typed: io.StringIO, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", typed)
    assert main(asked) == DONE


def verdict(capsys: pytest.CaptureFixture[str]) -> str:
    told = capsys.readouterr().out
    (found,) = re.findall(r"^[●◐⊟] (RUN|RUN WITH CARE|DO NOT RUN)$", told, re.MULTILINE)
    return str(found)


def test_the_card_is_told_eighty_letters_wide(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(LINE) == DONE
    told = capsys.readouterr().out
    assert told.startswith("WALK-ROUND: MID CYLINDRICAL")
    assert "■ STOP" in told
    assert max(map(len, told.splitlines())) <= 80


def test_without_its_battery_the_card_asks(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["round", str(PLATE)]) == REFUSED
    assert "Say which battery it has" in capsys.readouterr().err


def test_the_pack_and_the_word_for_it_give_one_card(capsys: pytest.CaptureFixture[str]) -> None:
    by_pack = card(capsys, ["round", str(PLATE), "--pack", str(PACKS / "market_hall_36v.toml")])
    assert by_pack["rows"] == card(capsys)["rows"]


def test_all_good_answers_let_it_run(
    asked: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    walk(asked, _Good(card(capsys)), monkeypatch)
    assert verdict(capsys) == "RUN"


def test_each_answer_is_kept_at_once_and_the_round_goes_on(
    asked: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = _Good(card(capsys)).getvalue().splitlines(keepends=True)
    walk(asked, io.StringIO("".join(lines[:10])), monkeypatch)
    assert verdict(capsys) == "DO NOT RUN"
    log = tmp_path / "round.jsonl"
    assert len(log.read_text(encoding="utf-8").splitlines()) == 1 + 10
    walk(asked, io.StringIO("".join(lines[10:])), monkeypatch)
    assert "goes on where it stopped" in (told := capsys.readouterr().out)
    assert told.splitlines()[-2] == "● RUN"
    assert len(log.read_text(encoding="utf-8").splitlines()) == 1 + len(lines) + 1


def test_enter_alone_is_no_answer_and_q_stops(
    asked: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    walk(asked, io.StringIO("\n\n?\n7\nno\nq\n"), monkeypatch)
    told = capsys.readouterr().out
    assert told.count("Enter alone is no answer") == 2
    assert "enter a number from 1 to 3" in told
    assert '"no" is no answer' in told
    assert "(common practice" in told
    assert len((tmp_path / "round.jsonl").read_text(encoding="utf-8").splitlines()) == 1


def test_going_back_corrects_by_a_new_line(
    asked: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    walk(asked, io.StringIO("1\nb\n2\nq\n"), monkeypatch)
    lines = [json.loads(line) for line in (tmp_path / "round.jsonl").read_text(encoding="utf-8").splitlines()]
    assert [line.get("corrects") for line in lines] == [None, None, 2]
    assert lines[1]["check"] == lines[2]["check"]


def test_with_a_stop_found_nobody_is_asked_to_turn_the_key_or_drive(
    asked: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = card(capsys)
    walk(asked, _Good(found, {"battery-cases-whole": "3"}), monkeypatch)
    assert "A stop is open" in (told := capsys.readouterr().out)
    assert "⊟ DO NOT RUN" in told
    log = [json.loads(line) for line in (tmp_path / "round.jsonl").read_text(encoding="utf-8").splitlines()]
    rows = found["rows"]
    assert isinstance(rows, list)
    state = {row["check"]: row["state"] for row in rows}
    answered = [state[line["check"]] for line in log if line["kind"] == "answer"]
    assert set(answered) == {"key off"}
    assert len(answered) == list(state.values()).count("key off")


def test_a_stop_stays_over_days_until_a_technician_closes_it(
    asked: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    walk(asked, _Good(card(capsys), {"brake-stops": "2"}), monkeypatch)
    assert verdict(capsys) == "DO NOT RUN"
    later = [each.replace("2026-03-10", "2026-03-12") for each in asked]
    assert main(later[:-4]) == DONE
    assert "Open stop brake-stops since 2026-03-10, seen by Ana" in " ".join(capsys.readouterr().out.split())
    closing = ["--release", "brake-stops", "--reason", "Brake relined and taped"]
    assert main([*later, *closing]) == REFUSED
    assert "asks for a technician or higher; you gave: operator" in " ".join(capsys.readouterr().err.split())
    technician = [*later[:-4], "--who", "Leo", "--skill", "technician"]
    assert main([*technician, "--release", "brake-stops", "--reason", " "]) == REFUSED
    assert main([*technician, *closing]) == DONE
    told = capsys.readouterr().out
    assert "Closed: brake-stops." in told
    assert "Open stop" not in told


def test_the_readings_of_the_battery_count_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pack = ["--pack", str(PACKS / "market_hall_36v.toml")]
    readings = ["--readings", str(EXAMPLES / "readings" / "market_hall_36v.csv")]
    log = ["--log", str(tmp_path / "round.jsonl")]
    reasons = []
    for more in ([], readings):
        assert main(["round", str(PLATE), *pack, *more, *log, "--day", "2027-01-31", "--json"]) == DONE
        found = json.loads(capsys.readouterr().out)["verdict"]["reasons"]
        reasons.append([each["told"]["text"] for each in found])
    assert [each for each in reasons[1] if "attery" in each] != [each for each in reasons[0] if "attery" in each]


def test_a_meter_is_kept_and_asked_for_its_checks(asked: list[str], tmp_path: Path) -> None:
    assert main([*asked[:-4], "--meter", "brush=412.6", "--meter", "key=800"]) == DONE
    kept = [json.loads(line) for line in (tmp_path / "round.jsonl").read_text(encoding="utf-8").splitlines()]
    assert [(line["meter"], line["shown_h"]) for line in kept] == [("brush", 412.6), ("key", 800.0)]


def test_a_number_to_write_has_the_unit_of_its_limit_and_a_pure_one_has_none(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main([*LINE, "--for", "monthly"]) == DONE
    written = re.findall(r"_{9}(.*)", capsys.readouterr().out)
    assert " mm" in written
    assert not any(re.search(r"\d", unit) for unit in written)


def test_the_card_is_an_a5_pdf_in_both_languages(tmp_path: Path) -> None:
    for language, title in (("en", "Walk-round"), ("es", "Ronda de revisión")):
        path = tmp_path / f"{language}.pdf"
        assert main([*LINE, "--pdf", str(path), "--language", language]) == DONE
        pdf = pypdfium2.PdfDocument(path)
        assert pdf[0].get_size() == pytest.approx((419.53, 595.28), abs=0.1)
        text = pdf[0].get_textpage().get_text_bounded()
        assert title in text
        assert "2026-03-10" in text
        assert b"pdfuaid:part" in path.read_bytes()


def test_every_stop_row_of_the_pdf_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "card.pdf"
    assert main([*LINE, "--pdf", str(path)]) == DONE
    capsys.readouterr()
    rows = card(capsys)["rows"]
    assert isinstance(rows, list)
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path))
    # Each stop row is marked once, and its box for a stop is named once where something is ticked.
    stops = [row for row in rows if row["worst"] == "stop"]
    assert text.count("STOP") == len(stops) + sum(bool(row["seen"]) for row in stops)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--battery", "sealed", "--pack", "pack.toml"], "Say which battery"),
        (["--battery", "sealed", "--site", "moon"], "says nothing of a site"),
        (["--battery", "sealed", "--for", "lunch"], "No round is for"),
        (["--battery", "sealed", "--for", " , "], "for nothing"),
        (["--battery", "sealed", "--who", "Ana"], "Give --who and --skill together"),
        (["--battery", "sealed", "--who", "Ana", "--skill", "lead"], "Answers are kept in a log"),
        (["--battery", "sealed", "--log", "x.jsonl", "--meter", "sun=3"], "The meters are"),
        (["--battery", "sealed", "--log", "x.jsonl", "--release", "brake-stops"], "--release and --reason together"),
        (["--battery", "sealed", "--log", "x.jsonl", "--release", "a", "--reason", "b"], "Say who closes"),
        (["--battery", "sealed", "--log", "x.jsonl", "--pdf", "x.jsonl"], "named twice"),
        (["--battery", "sealed", "--readings", "x.csv"], "Readings belong to a pack"),
        (["--battery", "wood"], "choose from"),
    ],
)
def test_a_line_that_cannot_be_is_refused_in_a_sentence(
    more: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["round", str(PLATE), *more]) == REFUSED
    assert told in " ".join(capsys.readouterr().err.split())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("value_m", "25 mm", 0.025),
        ("value_m", "1.5 in", 0.0381),
        ("value_fraction", "3", 0.03),
        ("value_fraction", "3,5", 0.035),
        ("value_k", "45C", 318.15),
        ("value_a", "68", 68.0),
    ],
)
def test_a_number_is_typed_in_the_unit_that_is_shown(name: str, text: str, value: float) -> None:
    assert typed_reading(name, text, UnitSystem.SI).value == pytest.approx(value)


@pytest.mark.parametrize(
    ("name", "text"), [("value_m", "25"), ("value_m", "wide"), ("value_a", "much"), ("value_k", "")]
)
def test_a_number_that_is_none_is_refused(name: str, text: str) -> None:
    with pytest.raises(BadInput):
        typed_reading(name, text, UnitSystem.SI)
