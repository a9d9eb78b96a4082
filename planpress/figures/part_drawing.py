"""The drawing of one part, ready for its page.

`part_drawing` returns a `PartDrawing`: fields of the heading row (the page sets balloon, name, number and sizes) and
bands from top to bottom. A band is 180 mm wide: a figure at its left (its own width, x from 0) and a column of notes
from `notes_x`, `notes_width` wide; both begin at the band's top, and the band is as high as the higher of the two. The
first band holds the views, the others one detail each. Bands must not be broken across pages; a page may break between
them. Words of the notes are data: `bold` words first, then `rest`; after a note with `box` comes a writing box.

The views follow the projection of the edition: in third angle the view of an edge stands on that edge's side of the
reference face view, in first angle on the other side.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from attrs import define, evolve, field, frozen

from planpress.base.display import Figure, Item, Text, TypeMeasure
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures.end_details import end_detail
from planpress.figures.extents import bounds, fitted_figure, moved
from planpress.figures.part_bodies import PartBodies
from planpress.figures.part_breaks import SLIMMEST, TALLEST_SHORTENED, drawn_length, inner_of_series, left_out
from planpress.figures.part_cut_notes import (
    end_joint_name,
    end_notes,
    fits_a_mate,
    noun,
    plural,
    pocket_notes,
    series_note,
)
from planpress.figures.part_details import detail
from planpress.figures.part_features import Features, edge_features, edge_sides, face_features, is_below, needs_detail
from planpress.figures.part_groups import end_joints
from planpress.figures.part_notes import (
    NotchKind,
    Note,
    all_kind_notes,
    capsule_words,
    hole_notes,
    notch_kinds,
    note_height,
    part_notes,
    side_words,
)
from planpress.figures.part_panels import Captions, Panel, left_room, panel, room_right
from planpress.figures.part_sides import position, side_view
from planpress.figures.pocket_details import pocket_detail
from planpress.figures.running import positions_table
from planpress.figures.scales import FULL_SIZE, largest_scale, next_smaller, scale_words
from planpress.figures.shape_notes import shape_notes
from planpress.model.records import Notch, Part, Side

BLOCK_WIDTH = 180.0
NOTES_X = 104.0
SIDE_NOTES_X = 138.0  # the fourth column
_TABLE = 60  # positions under the views; more are a table of their own
_PANEL_GAP = 6.0
_TALLEST_VIEW = 48.0  # of the face on paper
_CLEAR_OF_NOTES = 4.0
_STEPS_DOWN = 2  # of drawings made smaller
_LEAST_VIEW = {1: 25.0, 2: 60.0}  # the longer side of a part on paper in them, by steps
_SMALL_DETAIL = Fraction(1, 4)  # details smaller than this may be made smaller by more than a step
_NARROW_VIEW = 132.0  # views up to this wide leave room for a column of notes


@frozen
class Band:
    """A strip of the drawing: figure at the left, notes at the right (see the module's docstring)."""

    figure: Figure | None
    notes: tuple[Note, ...] = field(default=())
    notes_x: float = NOTES_X
    notes_width: float = BLOCK_WIDTH - NOTES_X


@frozen
class PartDrawing:
    """One part's drawing.

    Attributes:
        letter, label, count: for the balloon and heading. pieces: "9 pieces". sizes: "T × W × L" as printed.
        bands: from top to bottom. scale: of the views.
        alt: what the drawing shows, in words.
        smaller: the same at smaller scales, for pages that are short of room, the largest first.
    """

    letter: str
    label: str
    count: int
    pieces: str
    sizes: str
    bands: tuple[Band, ...]
    scale: Fraction
    alt: str
    smaller: tuple[PartDrawing, ...] = ()

    @property
    def notes(self) -> tuple[Note, ...]:
        """All notes, in order."""
        return tuple(note for band in self.bands for note in band.notes)


def part_drawing(part: Part, parts: Mapping[str, Part], edition: Edition, measure: TypeMeasure) -> PartDrawing:
    """Draw a part.

    Args:
        parts: every part of the plan by letter, for the words on mating parts.
    """
    drafts = _Drafts(PartBodies(part), edition, measure)
    level = _scale(part, notch_kinds(part), edition, measure)
    ways = [_drawn(drafts, level, 0, parts)]
    for steps in range(1, _STEPS_DOWN + 1):
        less = next_smaller(level, edition)
        if float(less * max(part.length, part.width)) >= _LEAST_VIEW[steps]:
            level = less
        drawn = _drawn(drafts, level, steps, parts)
        if drawn != ways[-1]:
            ways.append(drawn)
    return evolve(ways[0], smaller=tuple(ways[1:]))


@define
class _Drafts:
    """The views and details of a part at several scales, each drawn once."""

    bodies: PartBodies
    edition: Edition
    measure: TypeMeasure
    _views: dict[Fraction, tuple[Figure, list[Figure]]] = field(factory=dict)
    _details: dict[tuple[str, int], list[Figure]] = field(factory=dict)

    def views(self, kinds: tuple[NotchKind, ...], scale: Fraction) -> tuple[Figure, list[Figure]]:
        """The views at a scale, and long tables of positions."""
        if scale not in self._views:
            self._views[scale] = _views(self.bodies, kinds, scale, self.edition, self.measure)
        figure, tables = self._views[scale]
        return figure, list(tables)

    def detail(self, key: tuple[str, int], draw: Callable[[Fraction], Figure], steps: int) -> Figure:
        """A detail so many steps smaller than it could be; details that are large already only one step.

        Args:
            key: tells the details of the part apart. draw: draws this one at most as large as a scale.
        """
        chain = self._details.setdefault(key, [])
        if not chain:
            chain.append(draw(FULL_SIZE))
        while len(chain) <= steps:
            figure = chain[-1]
            if figure.scale is not None and (len(chain) == 1 or figure.scale < _SMALL_DETAIL):
                smaller = draw(next_smaller(figure.scale, self.edition))
                figure = smaller if _is_legible(smaller, self.measure) else figure
            chain.append(figure)
        return chain[steps]


def _drawn(drafts: _Drafts, scale: Fraction, steps: int, parts: Mapping[str, Part]) -> PartDrawing:
    """The drawing with its views at a scale, its details so many steps smaller than they could be."""
    bodies, edition, measure = drafts.bodies, drafts.edition, drafts.measure
    part = bodies.part
    kinds, ends = notch_kinds(part), end_joints(part)
    detailed = tuple(k for k in kinds if needs_detail(k, part, scale))
    views, listed = drafts.views(kinds, scale)
    loose = [n for k in kinds if k not in detailed for n in all_kind_notes(k, part, parts, edition)]
    for kind in kinds:
        series = series_note(kind, part, edition)
        loose += [series] if series is not None and kind.first.role == "lap" else []
    if not face_features(part, kinds, scale, edition).has_free_side:
        loose += hole_notes(part, edition)
    loose += [*part_notes(part, edition), *shape_notes(part, edition)]
    bands: list[Band] = []
    if not detailed and not ends and loose and _ink_right(views, measure) <= _NARROW_VIEW:
        narrow = evolve(views, width=_NARROW_VIEW)
        bands.append(Band(narrow, tuple(loose), SIDE_NOTES_X, BLOCK_WIDTH - SIDE_NOTES_X))
        loose = []
    else:
        bands.append(Band(views))
    bands += [Band(table) for table in listed]
    details: list[Figure] = []
    columns: list[list[Note]] = []
    for number, kind in enumerate(kinds):
        if kind not in detailed:
            continue
        lap = kind.first.role == "lap"
        drawn = functools.partial(detail if lap else pocket_detail, kind, bodies, edition, measure)
        details.append(drafts.detail(("cut", number), drawn, steps))
        columns.append(list((all_kind_notes if lap else pocket_notes)(kind, part, parts, edition)))
    for number, joint in enumerate(ends):
        drawn = functools.partial(end_detail, joint, bodies, edition, measure)
        details.append(drafts.detail(("end", number), drawn, steps))
        columns.append(list(end_notes(joint, part, parts, edition)))
    if details:
        _spread_notes(columns, loose, [figure.height for figure in details], measure)
        for figure, notes in zip(details, columns, strict=True):
            if _ink_right(figure, measure) <= NOTES_X - _CLEAR_OF_NOTES:
                bands.append(Band(figure, tuple(notes)))
            else:
                bands += [Band(figure), Band(None, tuple(notes), 0.0, 128.0)]
    elif loose:
        bands.append(Band(None, tuple(loose), 0.0, 128.0))
    times = "\u00a0\u00d7\u00a0"
    sizes = times.join(edition.length(size) for size in (part.thickness, part.width, part.length))
    pieces = f"{part.count} {'piece' if part.count == 1 else 'pieces'}"
    alt = f"Part {part.letter}, {part.label}, {plain(sizes)} {edition.unit_name}. {views.alt}"
    return PartDrawing(part.letter, part.label, part.count, pieces, sizes, tuple(bands), scale, alt)


def _is_legible(figure: Figure, measure: TypeMeasure) -> bool:
    """True if no words stand on others."""
    boxes = [bounds([item], measure) for item in figure.items if isinstance(item, Text)]
    return not any(
        a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in itertools.combinations(boxes, 2)
    )


def _spread_notes(
    columns: list[list[Note]], loose: Sequence[Note], heights: Sequence[float], measure: TypeMeasure
) -> None:
    """Leave out what an earlier column says already; give each loose note to the column with most room left."""
    said: list[Note] = []
    for column in columns:
        column[:] = [note for note in column if note not in said]
        said += column
    width = BLOCK_WIDTH - NOTES_X
    for note in loose:
        left = [
            height - sum(note_height(n, width, measure) for n in column)
            for column, height in zip(columns, heights, strict=True)
        ]
        columns[left.index(max(left))].append(note)


def _ink_right(figure: Figure, measure: TypeMeasure) -> float:
    return bounds(figure.items, measure)[2]


def _scale(part: Part, kinds: tuple[NotchKind, ...], edition: Edition, measure: TypeMeasure) -> Fraction:
    """The largest scale at which the views fit; full size is for short parts only."""

    def fits(scale: Fraction) -> bool:
        shown = [face_features(part, kinds, scale, edition)]
        shown += [edge_features(part, kinds, side, edition) for side in edge_sides(part, edition)]
        room = max(room_right(part, features, scale, edition, measure) for features in shown)
        wide = left_room(part) + drawn_length(part, scale) + room
        tall = TALLEST_SHORTENED if left_out(part, scale) else _TALLEST_VIEW
        return wide <= BLOCK_WIDTH and float(part.width * scale) <= tall

    def fits_whole(scale: Fraction) -> bool:
        return not left_out(part, scale) and fits(scale)

    if inner_of_series(part):
        return largest_scale(fits, edition)
    scale = largest_scale(fits_whole, edition)
    return scale if float(part.width * scale) >= SLIMMEST else largest_scale(fits, edition)


def _views(
    bodies: PartBodies,
    kinds: tuple[NotchKind, ...],
    scale: Fraction,
    edition: Edition,
    measure: TypeMeasure,
) -> tuple[Figure, list[Figure]]:
    """The view of the reference face and those of the edges, one above the other, aligned; long tables of positions."""
    part = bodies.part
    features = face_features(part, kinds, scale, edition)
    upper = part.reference_edge is Side.UPPER
    words = f"reference edge ({'upper' if upper else 'lower'})"
    on_top = _caption_on_top(features)
    title = f"Reference face, {scale_words(scale)}{', shortened' if left_out(part, scale) else ''}"
    caption = Captions(words, title, on_top, over_marks=on_top == upper)
    face = panel(
        part,
        side_view(bodies, Side.FACE),
        features,
        caption,
        scale,
        edition,
        measure,
        with_overall=True,
        with_marks=True,
    )
    above: list[Panel] = []
    below: list[Panel] = []
    for side in edge_sides(part, edition):
        stands_below = is_below(side, edition)
        shown = edge_features(part, kinds, side, edition)
        drawn = panel(
            part,
            side_view(bodies, side),
            shown,
            _edge_caption(side, shown),
            scale,
            edition,
            measure,
            with_overall=False,
            with_marks=False,
        )
        (below if stands_below else above).append(drawn)
    items = _stacked([*above, face, *below], measure)
    numbered, tables = face.numbered, []
    if len(numbered) > _TABLE:
        for start in range(0, len(numbered), 2 * _TABLE):
            rows = positions_table(numbered[start : start + 2 * _TABLE], measure)
            tables.append(fitted_figure(rows, measure, "Positions from the reference end", width=BLOCK_WIDTH))
    elif numbered:
        low = bounds(items, measure)[1]
        items += moved(positions_table(numbered, measure), left_room(part), low - 4.0)
    left, _, right, _ = bounds(items, measure)
    if left < 0:
        items = moved(items, min(-left, max(BLOCK_WIDTH - right, 0.0)), 0.0)
    alt = _alt(part, scale, edition)
    return fitted_figure(items, measure, alt, scale, width=BLOCK_WIDTH), tables


def _edge_caption(side: Side, shown: Features) -> Captions:
    """At the right below; with a row of holes at the left above, as callouts stand above at the right."""
    name = side.value.capitalize()
    return Captions(name, "", on_top=True) if shown.below or shown.points else Captions("", name, on_top=False)


def _caption_on_top(features: Features) -> bool:
    """Captions stand above, unless a row of positions is there: the overall size, at least, has a row below then."""
    return not features.above


def _stacked(panels: Sequence[Panel], measure: TypeMeasure) -> list[Item]:
    """Panels from top to bottom, their bounds a gap apart."""
    items: list[Item] = []
    level = 0.0
    for drawn in panels:
        _, low, _, high = bounds(drawn.items, measure)
        items += moved(drawn.items, 0.0, level - high)
        level -= high - low + _PANEL_GAP
    return items


def _alt(part: Part, scale: Fraction, edition: Edition) -> str:
    """The drawing in words: length, notches and where they are."""
    words = [f"Reference face, {scale_words(scale)}; length {plain(edition.length(part.length))}"]
    for kind in notch_kinds(part):
        places = ", ".join(plain(edition.length(position(n, part))) for n in kind.notches)
        depth = plain(edition.joint(kind.first.depth))
        number = len(kind.notches)
        words.append(
            f"{number} {plural(noun(kind.first), number)} in the {side_words(kind.first.side)}, "
            f"{depth} deep, {_wide(kind.first, edition)}, at {places} from the reference end"
        )
    words += [end_joint_name(joint, part.letter) for joint in end_joints(part)]
    return "; ".join(words) + "."


def _wide(notch: Notch, edition: Edition) -> str:
    if fits_a_mate(notch):
        return f"as wide as {capsule_words(notch)[2:]}"
    return f"{plain(edition.joint(notch.width))} wide"
