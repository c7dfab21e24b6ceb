"""An empty table of readings as an Excel workbook."""

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_columns import header_for
from scrubwright.paperwork.table_writing import table_workbook
from scrubwright.paperwork.wording import Teller

# Date, time and moment stay in sight while the cells are filled in.
_IN_SIGHT = "D2"


def blank_readings_workbook(paper: PackPaper, teller: Teller) -> bytes:
    """A workbook whose first row names the columns for the readings of a pack, as `blank_readings` does for CSV.

    Parameters
    ----------
    paper
        The pack.
    teller
        Whose language names the columns, and whose units they are in.
    """
    header = header_for(paper.pack, teller, is_us=teller.system is UnitSystem.US)
    return table_workbook([header], teller.words("readings"), _IN_SIGHT)
