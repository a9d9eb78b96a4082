"""The detail of one unlike joint: apart, closed, in section, and the words beside."""

from __future__ import annotations

from typing import Final

from attrs import evolve, frozen

from planpress.base.display import Figure, TypeMeasure
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.figures.joint_groups import JointGroup, joint_groups
from planpress.figures.joint_notes import joint_notes, joint_title, joint_where
from planpress.figures.joint_pictures import apart_figure, best_apart, closed_figure
from planpress.figures.joint_section import section
from planpress.figures.part_notes import NO_BREAK, Note
from planpress.figures.scenes import PieceSolids, Scenes
from planpress.model.records import SolvedPlan

#: Frames of the pictures, mm: taken apart; closed; the room for the section.
APART: Final = (66.0, 84.0)
CLOSED: Final = (66.0, 26.0)
SECTION: Final = (68.0, 52.0)


@frozen
class JointDetail:
    """Figures and words of one unlike joint.

    Attributes:
        letters: of the two parts as they are shown.
        title, where: for its heading. apart, closed, section: figures. notes: beside them.
        side: from where it is seen, in words, "" for the usual side. parts: letters of all parts that have the joint.
    """

    letters: tuple[str, str]
    title: str
    where: str
    apart: Figure
    closed: Figure
    section: Figure
    notes: tuple[Note, ...]
    side: str
    parts: tuple[str, ...]


def joint_details(
    plan: SolvedPlan, solids: PieceSolids, edition: Edition, measure: TypeMeasure
) -> tuple[JointDetail, ...]:
    """Details of all unlike joints, those that cut wood first."""
    scenes = Scenes(plan, solids)
    return tuple(joint_detail(scenes, group, edition, measure) for group in joint_groups(plan))


def joint_detail(scenes: Scenes, group: JointGroup, edition: Edition, measure: TypeMeasure) -> JointDetail:
    """The detail of one group of joints that are cut alike."""
    plan = scenes.plan
    apart = best_apart(scenes, group)
    shown = apart.meeting
    title, where = joint_title(plan, group), joint_where(group)
    notes = joint_notes(plan, group, shown, edition)
    opened, scale, faces = apart_figure(scenes, apart, plan.description.accent, *APART)
    letters = (shown.first.part.letter, shown.second.part.letter)
    named = plain(f"{title}, {letters[0]} and {letters[1]}")
    words = plain(" ".join(f"{note.bold} {note.rest}".strip() for note in notes))
    hidden = [letter for letter, shows in zip(letters, faces, strict=True) if not shows]
    if hidden:
        which = f"face of{NO_BREAK}{hidden[0]}" if len(hidden) == 1 else "faces"
        notes = (*notes, Note("", f"Reference {which} behind."))
    return JointDetail(
        letters=letters,
        title=title,
        where=where,
        apart=evolve(opened, alt=f"{named}, taken apart along the way it closes. {words}"),
        closed=evolve(closed_figure(scenes, apart, scale, *CLOSED), alt=f"{named}, closed."),
        section=evolve(section(scenes, apart, edition, measure, *SECTION), alt=f"{named}, cut through its middle."),
        notes=notes,
        side=apart.side_words,
        parts=tuple(dict.fromkeys((*group.letters(0), *group.letters(1)))),
    )
