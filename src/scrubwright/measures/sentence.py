"""A sentence with its numbers still in it, so that each reader gets their own language and units."""

import string
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Self, Union

Value = Union[str, int, float, "Sentence", tuple["Sentence", ...]]


@dataclass(frozen=True, slots=True, init=False)
class Sentence:
    """An English template and the values it names.

    The template is also the key under which another language keeps its own sentence. A float's
    name carries its unit suffix, so the edge that shows it can convert and label it; a value may
    itself be a sentence (or several).

    Examples
    --------
    >>> str(Sentence("The way in is {gap_m} wide.", gap_m=0.88))
    'The way in is 0.88 m wide.'
    """

    template: str
    values: tuple[tuple[str, Value], ...] = field(default=())
    translations: tuple[tuple[str, str], ...] = field(default=())

    def __init__(self, template: str, **values: Value) -> None:
        object.__setattr__(self, "template", template)
        object.__setattr__(self, "values", tuple(values.items()))
        object.__setattr__(self, "translations", ())

    @classmethod
    def in_languages(cls, tellings: Mapping[str, str], **values: Value) -> Self:
        """A sentence of data that brings its own languages, by code; "en" is among them.

        Examples
        --------
        >>> Sentence.in_languages({"en": "Dry", "es": "Seco"}).template
        'Dry'
        """
        sentence = cls(tellings["en"], **values)
        others = tuple((code, told) for code, told in tellings.items() if code != "en")
        object.__setattr__(sentence, "translations", others)
        return sentence

    def told(self, words: Callable[[str], str], number: Callable[[str, float], str]) -> str:
        """The sentence in a reader's words: `words` maps the template, `number` shows a float by its name."""
        said = {name: _said(name, value, words, number) for name, value in self.values}
        return string.Formatter().vformat(words(self.template), (), said)

    def __str__(self) -> str:
        # The units table refuses a bad name in a sentence of ours, so it comes after this module.
        from scrubwright.measures.units import shown

        return self.told(lambda template: template, shown)

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuilt, (self.template, dict(self.values), dict(self.translations)))


def _rebuilt(template: str, values: dict[str, Value], translations: dict[str, str]) -> Sentence:
    return Sentence.in_languages({"en": template, **translations}, **values)


def _said(name: str, value: Value, words: Callable[[str], str], number: Callable[[str, float], str]) -> str:
    if isinstance(value, Sentence):
        return value.told(words, number)
    if isinstance(value, tuple):
        return ", ".join(each.told(words, number) for each in value)
    if isinstance(value, float):
        return number(name, value)
    return str(value)
