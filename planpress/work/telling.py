"""What the text of a step consists of, and what its writers get."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from attrs import frozen

from planpress.model.records import Part, SolvedPlan
from planpress.work.insertion import Arrival
from planpress.work.operations import Kind, Operation
from planpress.work.saying import Say, listed, lower_first, plural


@frozen
class StepText:
    """The words of a step.

    Attributes:
        title: what is done, safe to follow by itself. tools: a list. minutes: estimate of the work, 0 for none.
        then: what to wait for after it ("1 h in the clamps"), or "". caution: hazard and consequence, or "".
        actions: in order, imperative. check: what, within how much.
    """

    title: str
    tools: tuple[str, ...]
    minutes: Fraction
    actions: tuple[str, ...]
    check: str
    caution: str = ""
    then: str = ""


@frozen
class Telling:
    """One step to be put in words: its operations, the plan, how sizes are written, and how pieces arrive."""

    plan: SolvedPlan
    say: Say
    operations: tuple[Operation, ...]
    arrivals: tuple[Arrival, ...] = ()

    def of(self, *kinds: Kind) -> list[Operation]:
        """The step's operations of some kinds."""
        return [o for o in self.operations if o.kind in kinds]

    def parts(self, *kinds: Kind) -> list[Part]:
        """Parts of the step's operations of some kinds, in order of letters."""
        letters = {letter for o in self.of(*kinds) for letter in o.letters}
        return [part for part in self.plan.parts if part.letter in letters]

    @property
    def glued(self) -> bool:
        """True if a joint of the step is glued."""
        return any(o.kind is Kind.WAIT for o in self.operations)


def noun(part: Part) -> str:
    """What a part is called in a sentence: "slat"; hands and kinds are told by letters."""
    return lower_first(part.label.split(",")[0])


def names(parts: Sequence[Part]) -> str:
    """Parts by their names in the plural, each name once: "legs and rails"."""
    counts: dict[str, int] = {}
    for part in parts:
        counts[noun(part)] = counts.get(noun(part), 0) + part.count
    return listed([plural(word, count) for word, count in counts.items()])


def letters(parts: Sequence[Part]) -> str:
    """ "C and D"."""
    return listed([part.letter for part in parts])
