"""Reads `cautions`: what the maker warns of, on the cover and in the step that it concerns.

cautions:
  - says: Fix the wall strip into studs or masonry, with fasteners chosen for that wall.
    before: wall_strip
"""

from __future__ import annotations

from planpress.description.fields import Fields, Reading
from planpress.description.records import Caution
from planpress.description.yaml_nodes import Node

#: So many stand on the cover, beside the introduction.
MOST_CAUTIONS = 3
#: Longest text (characters): with more, a step's text outgrows its page.
MOST_CHARACTERS = 320


def read_cautions(node: Node | None, reading: Reading) -> tuple[Caution, ...]:
    """All cautions, in the order of the file."""
    if node is None:
        return ()
    items = reading.items(node, "'cautions'", "cautions")
    if len(items) > MOST_CAUTIONS:
        reading.findings.error(
            "cautions",
            f"the plan has {len(items)} cautions; nobody reads so many",
            items[MOST_CAUTIONS].place,
            expected=f"at most {MOST_CAUTIONS}",
        )
    return tuple(_read_caution(item, number, reading) for number, item in enumerate(items, start=1))


def _read_caution(node: Node, number: int, reading: Reading) -> Caution:
    fields = Fields(reading, node, f"caution {number}", ("says", "before"))
    says = " ".join(fields.text("says").split())
    place = fields.nodes["says"].place if "says" in fields else node.place
    if len(says) > MOST_CHARACTERS:
        reading.findings.error(
            "long-text",
            f"{fields.what} has {len(says)} characters",
            place,
            expected=f"at most {MOST_CHARACTERS}: the hazard, what follows, what to do",
        )
    return Caution(says, fields.known_or_none("before", "part"), place)
