"""What has to be done: operations with the pieces they concern and what each must wait for."""

from __future__ import annotations

import enum

from attrs import frozen


class Kind(enum.Enum):
    """What an operation is."""

    SETTLE = "settle"  # let the wood settle, measure it
    MILL = "mill"  # plane rough stock to its finished section
    SQUARE = "square"  # square one end of each stick: the reference end
    CUT = "cut"  # cut to length, square or at an angle
    TEST = "test"  # test notch in an offcut
    NOTCH = "notch"
    DRILL = "drill"
    SHAPE = "shape"  # outlines, chamfers, round-overs
    SMOOTH = "smooth"  # sand, ease edges
    DRY_FIT = "dry fit"
    JOIN = "join"  # put together, glued or not
    WAIT = "wait"  # in the clamps
    FIT = "fit"  # measure a part from the work and cut it
    PIN = "pin"  # dowels drilled through joined parts
    SCREW = "screw"
    CHECK = "check"
    FINISH = "finish"
    HANG = "hang"  # fix to the wall, hang the piece


@frozen
class After:
    """One thing an operation waits for, and why: `because` ends a sentence that begins "comes after ..., because"."""

    operation: str
    because: str


@frozen
class Operation:
    """A thing done.

    Attributes:
        id: unique, for example "notch A lattice". kind: what it is.
        parts: letters with the number of pieces concerned, in order of letters.
        pieces: ids of the pieces concerned.
        places: those of them that come to the work here for the first time; each piece of a plan does so once.
        fasteners: ids of the fasteners used up, letter and number counted from 0 ("J[2]").
        joints: names of the joints made. unit: name of the assembly worked on, "" for none or for all.
        after: what must be done before.
        shown_with: operations of one key are one step.
    """

    id: str
    kind: Kind
    parts: tuple[tuple[str, int], ...]
    pieces: tuple[str, ...]
    places: tuple[str, ...] = ()
    fasteners: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    unit: str = ""
    after: tuple[After, ...] = ()
    shown_with: str = ""

    @property
    def letters(self) -> tuple[str, ...]:
        """Letters of the parts concerned."""
        return tuple(letter for letter, _ in self.parts)
