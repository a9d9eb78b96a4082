"""Personal copies: an edition's bytes followed by a small update that fills its one empty stamp.

Every page of an edition draws the same empty form XObject. A copy appends a new version of that object and a
cross-reference stream (an incremental update, ISO 32000-1, 7.5.6): the edition's own bytes stay as they are,
so that anyone can prove which edition a copy comes from.
"""

from __future__ import annotations

import hashlib

from attrs import frozen

from planpress.writers.pdf.painting import number

#: The stamp's name among the form XObjects of a document.
STAMP = "stamp"


@frozen
class StampPlace:
    """What must be known of an edition to write copies of it.

    Attributes:
        length, sha256: of the edition's bytes.
        object_number: of the stamp.
        size: number of the edition's objects, the free object 0 included (/Size).
        root, info: object numbers of the catalogue and of the document information.
        startxref: place of the edition's cross-reference stream.
        first_id: the first half of the edition's /ID, in hexadecimal.
        width, height: of the stamp's rectangle, in points.
    """

    length: int
    sha256: str
    object_number: int
    size: int
    root: int
    info: int
    startxref: int
    first_id: str
    width: float
    height: float

    def is_of(self, edition: bytes) -> bool:
        """True if the bytes, or the first of them in a stamped copy, are the edition's."""
        return hashlib.sha256(memoryview(edition)[: self.length]).hexdigest() == self.sha256


def stamp_form(width: float, height: float, operators: bytes = b"") -> bytes:
    """The stamp's form XObject: a rectangle with its lower left corner at (0, 0), in points."""
    head = (
        f"<</Type/XObject/Subtype/Form/FormType 1/BBox[0 0 {number(width)} {number(height)}]"
        f"/Resources<<>>/Length {len(operators)}>>\nstream\n"
    )
    return head.encode("ascii") + operators + b"\nendstream\n"


def update(place: StampPlace, operators: bytes) -> bytes:
    """What a copy adds to the edition's bytes.

    Args:
        operators: the drawing of the stamp in points from its lower left corner: paths only, since it has no
            fonts.
    """
    new_id = hashlib.sha256(place.sha256.encode("ascii") + operators).hexdigest()[:32]
    at_stamp = place.length + 1
    stamp = b"%d 0 obj\n%s" % (place.object_number, stamp_form(place.width, place.height, operators)) + b"endobj\n"
    at_section = at_stamp + len(stamp)
    rows = b"".join(b"\x01" + offset.to_bytes(4, "big") + b"\x00\x00" for offset in (at_stamp, at_section))
    section = (
        f"{place.size} 0 obj\n<</Type/XRef/Size {place.size + 1}"
        f"/Index[{place.object_number} 1 {place.size} 1]/W[1 4 2]"
        f"/Prev {place.startxref}/Root {place.root} 0 R/Info {place.info} 0 R"
        f"/ID[<{place.first_id}><{new_id}>]/Length {len(rows)}>>\nstream\n"
    )
    end = f"\nendstream\nendobj\nstartxref\n{at_section}\n%%EOF\n"
    return b"".join((b"\n", stamp, section.encode("ascii"), rows, end.encode("ascii")))


def stamped(edition: bytes, place: StampPlace, operators: bytes) -> bytes:
    """A personal copy of an edition.

    Raises:
        ValueError: if the edition has not the length that the place records. (`place.is_of` compares its
            content.)
    """
    if len(edition) != place.length:
        raise ValueError(f"the edition has {len(edition)} bytes, its record says {place.length}")
    return edition + update(place, operators)
