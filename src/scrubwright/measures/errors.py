"""One family of errors, each a sentence for the person with the machine.

::

    ScrubwrightError
        BadInput          an impossible value (also a ValueError)
        OutOfRange        outside what the source measured (also a ValueError)
        NoAnswer          a sound question whose method failed
        UnreadablePaper   a file that cannot be read, and where in it
"""

from scrubwright.measures.sentence import Sentence, Value


class ScrubwrightError(Exception):
    """What was given, what is allowed, what to enter instead, as one `Sentence`."""

    def __init__(self, template: str, **values: Value) -> None:
        self.sentence = Sentence(template, **values)
        super().__init__(str(self.sentence))

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuilt, (type(self), self.sentence))


def _rebuilt(kind: type[ScrubwrightError], sentence: Sentence) -> ScrubwrightError:
    return kind(sentence.template, **dict(sentence.values))


class BadInput(ScrubwrightError, ValueError):
    """An impossible value."""


class OutOfRange(ScrubwrightError, ValueError):
    """A value outside what the source of a method measured."""


class NoAnswer(ScrubwrightError):
    """A sound question whose method failed."""


class UnreadablePaper(ScrubwrightError):
    """A file that cannot be read, and where in it."""
