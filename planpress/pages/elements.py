"""The base of the pages' own flowables: things that lay themselves out in mm and draw rules, text and other flowables.

A flowable of ReportLab is asked for its height first and drawn later. An `Element` answers by `lay_out(width)`, in
which it places everything it consists of, in mm from its upper left corner, y DOWN; drawing then only carries that
out. Rules and boxes become one artifact; text goes to the structure node it is given (made by the composer, before
anything is drawn).
"""

from __future__ import annotations

from collections.abc import Iterable

from attrs import evolve, frozen
from reportlab.platypus.flowables import Flowable

from planpress.base.display import Anchor, Face, Figure, Fill, Item, Path, Pen, Role, line, rectangle, shifted
from planpress.pages.block import MM
from planpress.pages.typography import INK
from planpress.writers.pdf.canvas import TaggedCanvas
from planpress.writers.pdf.flowables import FigureFlowable, TaggedParagraph
from planpress.writers.pdf.structure import Node


@frozen
class Line:
    """One line of text to be written: its place (mm, y down, on the baseline), form and structure node."""

    x: float
    y: float
    text: str
    face: Face
    size: float
    colour: str
    anchor: Anchor
    node: Node | None


@frozen(eq=False)
class Placed:
    """Another flowable in an element: its upper left corner, its height and the width it was given, in mm, y down."""

    flowable: Flowable
    x: float
    y: float
    height: float
    given: float


class Element(Flowable):  # type: ignore[misc]
    """A flowable made of rules, lines of text and other flowables. Subclasses implement `lay_out`."""

    def __init__(self) -> None:
        super().__init__()
        self._drawn: list[Item] = []
        self._laid: list[Line | Placed] = []
        self._laid_for: float | None = None

    def lay_out(self, width: float) -> float:
        """Places everything for a width in mm and returns the height in mm."""
        raise NotImplementedError

    def wrap(self, available_width: float, _available_height: float) -> tuple[float, float]:
        """Its size in points for the width there is.

        Pages measure things again and again; what is laid out for a width already stays as it is.
        """
        if not self.is_laid_for(available_width):
            self._drawn, self._laid = [], []
            height = self.lay_out(available_width / MM)
            self.width, self.height = available_width, height * MM
            self._laid_for = available_width
        return self.width, self.height

    def is_laid_for(self, width: float) -> bool:
        """True if it and all it holds were last laid out for this width in points."""
        if self._laid_for != width:
            return False
        inner = [one for one in self._laid if isinstance(one, Placed)]
        return all(is_laid_for(one.flowable, one.given * MM) for one in inner)

    def lay_out_again(self) -> None:
        """What was laid out no longer holds, as the contents have changed; call it before anything encloses this."""
        self._laid_for = None

    # --- placing, in mm from the upper left corner, y down ---

    def rule(self, x1: float, y1: float, x2: float, y2: float, pen: Pen, role: Role = Role.RULE) -> None:
        """A straight line."""
        self._drawn.append(line((x1, -y1), (x2, -y2), pen, role))

    def box(self, x: float, y: float, width: float, height: float, pen: Pen | None, fill: Fill | None = None) -> None:
        """A rectangle with its upper left corner at (x, y)."""
        self._drawn.append(Path(rectangle(x, -y - height, width, height), pen, fill, Role.RULE))

    def items(self, items: Iterable[Item], x: float, y: float) -> None:
        """Ornaments of the display list, whose own origin (lower left, y up) is put at (x, y)."""
        self._drawn += [shifted(item, x, -y) for item in items]

    def write(
        self,
        x: float,
        y: float,
        text: str,
        face: Face = Face.REGULAR,
        size: float = 10.0,
        *,
        colour: str = INK,
        anchor: Anchor = Anchor.START,
        node: Node | None = None,
    ) -> None:
        """One line of text with its baseline at y; without a node it is an artifact."""
        self._laid.append(Line(x, y, text, face, size, colour, anchor, node))

    def place(self, flowable: Flowable, x: float, y: float, width: float) -> float:
        """Another flowable with its upper left corner at (x, y); returns its height in mm."""
        _, height = flowable.wrap(width * MM, 10_000.0)
        self._laid.append(Placed(flowable, x, y, float(height) / MM, width))
        return float(height) / MM

    def move_last(self, y: float) -> None:
        """Puts what was placed last at another height, when that is known."""
        last = self._laid[-1]
        self._laid[-1] = evolve(last, y=y)

    # --- drawing ---

    def draw(self) -> None:
        """Carries out what `lay_out` placed: rules and boxes first, then the contents in the order they were placed."""
        canvas: TaggedCanvas = self.canv
        top = self.height
        if self._drawn:
            canvas.draw_figure(Figure(0.0, 0.0, tuple(self._drawn)), 0.0, top)
        for one in self._laid:
            if isinstance(one, Placed):
                one.flowable.drawOn(canvas, one.x * MM, top - (one.y + one.height) * MM)
            else:
                canvas.write(
                    one.x * MM,
                    top - one.y * MM,
                    one.text,
                    one.face,
                    one.size,
                    colour=one.colour,
                    anchor=one.anchor,
                    node=one.node,
                )


def is_laid_for(flowable: Flowable, width: float) -> bool:
    """True if a flowable was last laid out for this width in points; figures have one size for all widths."""
    if isinstance(flowable, FigureFlowable):
        return True
    return isinstance(flowable, Element | TaggedParagraph) and flowable.is_laid_for(width)


class Gap(Element):
    """White of a given height in mm; ReportLab leaves out spacers at the top of a frame, not this one."""

    def __init__(self, height: float) -> None:
        super().__init__()
        self._height = height

    def lay_out(self, width: float) -> float:
        """Nothing but its height."""
        return self._height


class Stack(Element):
    """Flowables one below the other with white between them, as one flowable that is never divided."""

    def __init__(self, flowables: Iterable[Flowable], gap: float = 0.0) -> None:
        super().__init__()
        self._flowables = list(flowables)
        self._gap = gap

    def lay_out(self, width: float) -> float:
        """Places them in order."""
        y = 0.0
        for number, flowable in enumerate(self._flowables):
            y += self._gap if number else 0.0
            y += self.place(flowable, 0.0, y, width)
        return y


class Picture(Element):
    """A figure with its upper left corner at (x, 0), as content of its node; as wide as it is, whatever room there is.

    Args:
        figure: what is drawn. node: its Figure element.
        x: mm from the left of the column.
    """

    def __init__(self, figure: Figure, node: Node, x: float = 0.0) -> None:
        super().__init__()
        self.figure = figure
        self._flowable = FigureFlowable(figure, node)
        self._x = x

    def lay_out(self, width: float) -> float:
        """Its own height."""
        return self.place(self._flowable, self._x, 0.0, self.figure.width)


def height_of(flowable: Flowable, width: float) -> float:
    """The height in mm of a flowable in a column of `width` mm."""
    return float(flowable.wrap(width * MM, 10_000.0)[1]) / MM
