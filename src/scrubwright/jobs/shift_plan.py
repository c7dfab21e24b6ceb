"""Whether tonight's floor gets done on this charge and dry in time, and what to do if not."""

from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace

import numpy as np

from scrubwright.jobs.shift_answer import ShiftAnswer, ShiftVerdict
from scrubwright.jobs.shift_changes import changes_for
from scrubwright.jobs.shift_planned import shift_planned
from scrubwright.jobs.shift_question import ShiftQuestion


def shift_plan(
    question: ShiftQuestion,
    *,
    rng: np.random.Generator,
    samples: int = 4096,
    with_changes: bool = True,
    progress: Callable[[float], None] | None = None,
    clock: Callable[[], float] | None = None,
) -> ShiftAnswer:
    """Whether the floor gets done on this charge and dry in time, and what to do if not.

    Parameters
    ----------
    question
        What is asked.
    rng
        Where chance comes from; the same generator gives the same answer.
    samples
        How many shifts are drawn, a power of two.
    with_changes
        Whether to look for changes where the shift does not fit well.
    progress, clock
        As in `route_plan`.

    Raises
    ------
    BadInput, OutOfRange, NoAnswer
        From the stages, each with its sentence.

    Notes
    -----
    **Source** ours, see docs/explanation/the-shift.md.
    """
    begun = deepcopy(rng)
    planned = shift_planned(question, rng=rng, samples=samples, progress=progress, clock=clock)
    if planned.answer.verdict is ShiftVerdict.FITS or not with_changes:
        return planned.answer
    return replace(planned.answer, changes=changes_for(planned, lambda: deepcopy(begun), samples=samples))
