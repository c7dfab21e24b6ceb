"""What is missing or wrong in a pack file, for the terminal: all of it, what to mend first."""

from collections.abc import Sequence

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.packs import PackReading
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller


def pack_problems_text(reading: PackReading, file: str, teller: Teller) -> str:
    """Every problem of a pack file that cannot be used yet.

    Parameters
    ----------
    reading
        What the file says.
    file
        Its name.
    teller
        Who tells it.
    """
    words = teller.words
    count = len(reading.missing) + len(reading.wrong)
    parts = [
        wrapped(words("{file} cannot be used yet. Things to mend: {count}.", file=file, count=count)),
        *_listed(words("To mend"), reading.wrong, teller),
        *_listed(words("Still missing"), reading.missing, teller),
    ]
    return "\n\n".join(parts) + "\n"


def _listed(title: str, sentences: Sequence[Sentence], teller: Teller) -> list[str]:
    if not sentences:
        return []
    lines = [wrapped(teller.tell(sentence), indent="  ", mark="- ") for sentence in sentences]
    return ["\n".join([f"{title}:", *lines])]
