"""Sulfation: hard crystals on plates that stayed uncharged too long, and the signs they give."""

from dataclasses import dataclass

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.sentence import Sentence

# A charge by constant voltage takes 7 to 9 hours, a falling one 10 to 12 (common practice).
LONG_CHARGE_H = 10.0
# Half of the spread of 0.030 at which makers' texts ask for an equalising charge.
LOW_RATIO = 0.015


@dataclass(frozen=True, slots=True, kw_only=True)
class SulfationSigns:
    """What was seen; False where it was not, or where nobody looked.

    Parameters
    ----------
    low_after_long_charge
        Gravity stays low although the charge was long: see `is_low_after_long_charge`.
    high_volts_at_start
        At the start of a charge the voltage is high and the current low.
    gasses_early
        It gasses long before it is full.
    runs_hot
        It gets warmer on charge than it used to.
    pale_plates
        Plates look pale or white.
    capacity_gone
        It no longer runs as long as it did.
    """

    low_after_long_charge: bool = False
    high_volts_at_start: bool = False
    gasses_early: bool = False
    runs_hot: bool = False
    pale_plates: bool = False
    capacity_gone: bool = False


def is_low_after_long_charge(median_ratio: float, full_ratio: float, charge_h: float) -> bool:
    """Whether the pack's median gravity stays under its full end although the charge was long.

    Parameters
    ----------
    median_ratio
        Of the pack after the charge, corrected [gravity].
    full_ratio
        Gravity of the full pack by its papers [gravity].
    charge_h
        From plug-in to finish [h, >= 0].

    Raises
    ------
    BadInput
        A value outside these ranges.
    """
    check_above_zero("median_ratio", median_ratio)
    check_above_zero("full_ratio", full_ratio)
    check_zero_or_more("charge_h", charge_h)
    return charge_h >= LONG_CHARGE_H and median_ratio < full_ratio - LOW_RATIO


def looks_sulfated(signs: SulfationSigns) -> bool:
    """Whether the signs together speak for sulfation.

    Low gravity after a long charge is the one that counts; acid that was spilled and made up with water gives
    it too, so one more sign is wanted.

    Notes
    -----
    **Source** signs as in vehicle makers' service manuals, which list low gravity after a long charge, high
    voltage and low current at its start, and pale plates; heat, early gassing and the rule of two are common
    practice and ours.
    """
    return signs.low_after_long_charge and len(signs_told(signs)) >= 2


def signs_told(signs: SulfationSigns) -> tuple[Sentence, ...]:
    """The signs that were seen, in words."""
    told = (
        (signs.low_after_long_charge, Sentence("gravity is low after a long charge")),
        (signs.high_volts_at_start, Sentence("voltage is high and current low when the charge starts")),
        (signs.gasses_early, Sentence("it gasses long before it is full")),
        (signs.runs_hot, Sentence("it runs hot on charge")),
        (signs.pale_plates, Sentence("its plates are pale")),
        (signs.capacity_gone, Sentence("it no longer runs as long as it did")),
    )
    return tuple(sentence for seen, sentence in told if seen)
