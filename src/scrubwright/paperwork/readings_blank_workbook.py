"""An empty table of readings as an Excel workbook."""

import io

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_columns import header_for
from scrubwright.paperwork.wording import Teller


def blank_readings_workbook(paper: PackPaper, teller: Teller) -> bytes:
    """A workbook whose first row names the columns for the readings of a pack, as `blank_readings` does for CSV.

    Parameters
    ----------
    paper
        The pack.
    teller
        Whose language names the columns, and whose units they are in.
    """
    workbook = Workbook()
    sheet = workbook.active
    assert isinstance(sheet, Worksheet)
    sheet.title = teller.words("readings")
    sheet.append(header_for(paper.pack, teller, is_us=teller.system is UnitSystem.US))
    # Date, time and moment stay in sight while the cells are filled in.
    sheet.freeze_panes = "D2"
    file = io.BytesIO()
    workbook.save(file)
    return file.getvalue()
