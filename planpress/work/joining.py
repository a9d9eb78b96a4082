"""Operations that bring parts together, derived from the solved plan: assemblies, fitted parts, pins, screws, finish.

A unit is all copies of one assembly (two frames are built side by side), or the pieces that belong to none. First each
unit is put together, then units meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import define, field, frozen

from planpress.model.records import JointPlace, Shape, SolvedPlan
from planpress.work.guidance import MANY_JOINTS
from planpress.work.operations import After, Kind, Operation
from planpress.work.saying import listed, lower_first, plural
from planpress.work.shaping import parts_of

_TIGHT = "the dry fit shows which joints are tight"
_STUCK = "glue must have set before the work is moved"


def fastener_ids(plan: SolvedPlan) -> dict[str, tuple[str, str, str, str]]:
    """Kind, joint, first and second piece of every fastener by its id (letter and number from 0).

    Alike fasteners of several joints share a row, so that the joint is told by the pieces they hold.
    """
    joint_of = {(j.kind, j.first, j.second): j.joint for j in plan.joints}
    return {
        f"{f.letter}[{i}]": (f.kind, joint_of.get((f.kind, p.first, p.second), f.joint), p.first, p.second)
        for f in plan.fasteners
        for i, p in enumerate(f.places)
    }


@frozen
class _Use:
    """A fastener to be put in."""

    id: str
    kind: str
    joint: str
    first: str
    second: str
    in_place: bool


@define
class Joining:
    """Works out the joining operations of one plan, in an order that works."""

    plan: SolvedPlan
    ready: Sequence[Operation]
    made: list[Operation] = field(factory=list)
    _placed: dict[str, None] = field(factory=dict)
    _stands: dict[str, tuple[str, str]] = field(factory=dict)  # unit -> last operation on it, and why to wait for it

    def operations(self) -> list[Operation]:
        """All of them; each piece is placed once and each fastener used once."""
        units = list(dict.fromkeys(piece.assembly[0] for piece in self.plan.pieces.values()))
        for unit in units:
            self._build(unit)
        self._fit_loose(units)
        self._connect(units)
        self._place_rest()
        self._set_in(units)
        self._end()
        return self.made

    # --- one unit

    def _build(self, unit: str) -> None:
        fitted = self._fitted(unit)
        firm = [p for p in self._members(unit) if p not in fitted]
        self._assemble(unit, firm, dry=True)
        self._fasten(unit, firm)
        if unit:
            self._fit(unit, fitted)

    def _fit_loose(self, units: Sequence[str]) -> None:
        if "" in units:
            self._fit("", self._fitted(""))

    def _members(self, unit: str) -> list[str]:
        return [p.id for p in self.plan.pieces.values() if p.assembly[0] == unit]

    def _fitted(self, unit: str) -> list[str]:
        return [p for p in self._members(unit) if self.plan.part_of(p).fit_in_place]

    def _joints(self, pieces: Sequence[str], arriving: Sequence[str] = ()) -> list[JointPlace]:
        """Laps, butts and blind dowels among pieces of one copy of a unit; with `arriving`, only theirs."""
        wanted, new = dict.fromkeys(pieces), dict.fromkeys(arriving)
        return [
            j
            for j in self.plan.joints
            if j.kind != "screw"
            and j.first in wanted
            and j.second in wanted
            and self._same_copy(j.first, j.second)
            and (not new or j.first in new or j.second in new)
            and (j.kind != "dowel" or not self._pinned(j))
        ]

    def _joints_across(self, arriving: Sequence[str]) -> list[JointPlace]:
        """Laps and butts of loose pieces with whatever they meet."""
        new = dict.fromkeys(arriving)
        return [j for j in self.plan.joints if j.kind not in ("screw", "dowel") and (j.first in new or j.second in new)]

    def _same_copy(self, first: str, second: str) -> bool:
        return self.plan.pieces[first].assembly == self.plan.pieces[second].assembly

    def _pinned(self, joint: JointPlace) -> bool:
        return any(u.in_place for u in self._uses("dowel", [joint.first, joint.second]) if u.joint == joint.joint)

    def _assemble(self, unit: str, pieces: Sequence[str], dry: bool) -> None:
        """Dry fit, join, and wait for the glue."""
        joints = self._joints(pieces)
        if not joints:
            return
        copies = len(dict.fromkeys(self.plan.pieces[p].assembly for p in pieces))
        own_step = len(joints) > MANY_JOINTS * copies
        name = unit or "loose"
        glued = any(j.glue for j in joints)
        names = tuple(dict.fromkeys(j.joint for j in joints))
        after = self._ready_for(pieces)
        if dry and glued:
            self._add(
                Operation(
                    f"dry fit {name}",
                    Kind.DRY_FIT,
                    parts_of(self.plan, pieces),
                    tuple(pieces),
                    joints=names,
                    unit=unit,
                    after=after,
                    shown_with=f"dry fit {name}" if own_step else f"join {name}",
                )
            )
            after = (After(f"dry fit {name}", _TIGHT),)
        blind = [u.id for u in self._uses("dowel", pieces) if not u.in_place]
        self._join(f"join {name}", unit, pieces, names, blind, after, glued)

    def _join(
        self,
        name: str,
        unit: str,
        pieces: Sequence[str],
        joints: tuple[str, ...],
        fasteners: Sequence[str],
        after: tuple[After, ...],
        glued: bool,
        shown_with: str = "",
    ) -> None:
        together = shown_with or name
        self._add(
            Operation(
                name,
                Kind.JOIN,
                parts_of(self.plan, pieces),
                tuple(pieces),
                places=self._place(pieces),
                fasteners=tuple(fasteners),
                joints=joints,
                unit=unit,
                after=after,
                shown_with=together,
            )
        )
        why = "those joints must be closed first"
        last = name
        if glued:
            last, why = f"{name}, wait", _STUCK
            self._add(
                Operation(
                    last,
                    Kind.WAIT,
                    parts_of(self.plan, pieces),
                    tuple(pieces),
                    unit=unit,
                    after=(After(name, "the clamps stay on"),),
                    shown_with=together,
                )
            )
        self._stand(pieces, last, why)

    def _fasten(self, unit: str, pieces: Sequence[str]) -> None:
        """Pins, then screws, among pieces of one copy of a unit."""
        for kind, verb, sort in (("dowel", "pin", Kind.PIN), ("screw", "screw", Kind.SCREW)):
            uses = [
                u
                for u in self._uses(kind, pieces)
                if self._same_copy(u.first, u.second) and (u.in_place or kind == "screw") and not self._used(u.id)
            ]
            for joint in dict.fromkeys(u.joint for u in uses):
                name = f"{verb} {joint} {unit or 'loose'}"
                because = "the drill needs parts that stand fast" if sort is Kind.PIN else ""
                self._drive(name, sort, unit, [u for u in uses if u.joint == joint], because)

    def _drive(self, name: str, kind: Kind, unit: str, uses: Sequence[_Use], because: str = "") -> None:
        held = dict.fromkeys([*(u.first for u in uses), *(u.second for u in uses)])
        pieces = [p for p in self.plan.pieces if p in held]
        self._add(
            Operation(
                name,
                kind,
                parts_of(self.plan, pieces),
                tuple(pieces),
                places=self._place(pieces),
                fasteners=tuple(u.id for u in uses),
                joints=tuple(dict.fromkeys(u.joint for u in uses)),
                unit=unit,
                after=tuple(After(a.operation, because or a.because) for a in self._ready_for(pieces)),
                shown_with=name,
            )
        )
        self._stand(pieces, name, "what is fastened there must stand firm first")

    def _fit(self, unit: str, fitted: Sequence[str]) -> None:
        """Measure fitted parts from what stands, cut, notch, drill and join them, part by part."""
        for part in self.plan.parts:
            pieces = [p for p in part.pieces if p in fitted]
            if not pieces:
                continue
            met = self._mates(pieces)
            after = [a for a in self._ready_for([*pieces, *met]) if a.operation != "smooth"]
            after = [After(a.operation, "what stands decides the true length") for a in after]
            fit = f"fit {part.letter}"
            self._add(
                Operation(
                    fit,
                    Kind.FIT,
                    ((part.letter, len(pieces)),),
                    tuple(pieces),
                    unit=unit,
                    after=(*after, After("square", "one end is squared already")),
                    shown_with=f"join {part.letter}",
                )
            )
            last = self._shape_fitted(part.letter, pieces, fit)
            inside = [p for p in self.plan.pieces if p in dict.fromkeys([*pieces, *met])]
            joints = self._joints(inside, pieces) or self._joints_across(pieces)
            if joints:
                together = f"join {part.letter}"
                self._join(
                    f"join {part.letter}",
                    unit,
                    pieces,
                    tuple(dict.fromkeys(j.joint for j in joints)),
                    [u.id for u in self._uses("dowel", inside) if not u.in_place and not self._used(u.id)],
                    tuple(After(name, "the part must have its length first") for name in last),
                    any(j.glue for j in joints),
                    shown_with=together,
                )
            else:
                self._stand(pieces, last[-1], "the part must have its length first")
            self._fasten(unit, [p for p in self._members(unit) if p in pieces or self._is_placed(p)])

    def _shape_fitted(self, letter: str, pieces: Sequence[str], fit: str) -> list[str]:
        part = self.plan.part(letter)
        last = [fit]
        for kind, features in (
            (Kind.NOTCH, part.notches),
            (Kind.DRILL, part.holes),
            (Kind.SHAPE, () if part.shape is None else (part.shape,)),
        ):
            if features:
                name = f"{kind.value} {letter}"
                self._add(
                    Operation(
                        name,
                        kind,
                        ((letter, len(pieces)),),
                        tuple(pieces),
                        joints=tuple(dict.fromkeys(f.joint for f in features if not isinstance(f, Shape))),
                        after=tuple(After(n, "its length is known only then") for n in last),
                        shown_with=name,
                    )
                )
                last = [name]
        return last

    def _mates(self, pieces: Sequence[str]) -> list[str]:
        """Pieces that some are joined to and that are not fitted themselves, or fitted already."""
        met: dict[str, None] = {}
        for joint in self.plan.joints:
            for own, other in ((joint.first, joint.second), (joint.second, joint.first)):
                if own in pieces and other not in pieces:
                    met[other] = None
        firm = [p for p in met if not self.plan.part_of(p).fit_in_place or self._is_placed(p)]
        copies = dict.fromkeys(self.plan.pieces[p].assembly for p in pieces if self.plan.pieces[p].assembly[0])
        beside = [p.id for p in self.plan.pieces.values() if p.assembly in copies and self._is_placed(p.id)]
        return list(dict.fromkeys([*firm, *beside]))

    # --- units meet

    def _connect(self, units: Sequence[str]) -> None:
        done = dict.fromkeys(j for o in self.made for j in self._pairs_made(o))
        for name in dict.fromkeys(j.joint for j in self.plan.joints):
            places = [j for j in self.plan.joints if j.joint == name and not self._same_copy(j.first, j.second)]
            places = [j for j in places if (name, j.first, j.second) not in done]
            if not places:
                continue
            ends = dict.fromkeys(p for j in places for p in (j.first, j.second))
            pieces = [p for p in self.plan.pieces if p in ends]
            kind = places[0].kind
            uses = [u for u in self._uses(kind, pieces) if u.joint == name and not self._used(u.id)]
            uses = [u for u in uses if not self._same_copy(u.first, u.second)]
            if kind == "screw":
                self._drive(f"attach {name}", Kind.SCREW, "", uses, self._whole(pieces))
            elif kind == "dowel" and any(u.in_place for u in uses):
                self._drive(f"pin {name}", Kind.PIN, "", uses, self._whole(pieces))
            else:
                glued = any(j.glue for j in places)
                after = self._ready_for(pieces)
                self._join(f"join {name}", "", pieces, (name,), [u.id for u in uses], after, glued)

    def _whole(self, pieces: Sequence[str]) -> str:
        """Why units that meet must be finished: by their names, if all have one."""
        units = dict.fromkeys(self.plan.pieces[p].assembly[0] for p in pieces)
        groups = {g.name: g.label for g in reversed(self.plan.assemblies)}
        counts = {u: sum(g.name == u for g in self.plan.assemblies) for u in units}
        if not all(units):
            return "both must be whole before they meet"
        named = [plural(lower_first(groups[u]), counts[u]) for u in units]
        return f"the {listed(named)} must be whole before they meet"

    def _pairs_made(self, operation: Operation) -> list[tuple[str, str, str]]:
        """Joint and pieces of every place an earlier step has joined already (fitted parts between units)."""
        if operation.kind not in (Kind.JOIN, Kind.PIN, Kind.SCREW):
            return []
        arrived = dict.fromkeys(operation.places)
        return [
            (j.joint, j.first, j.second)
            for j in self.plan.joints
            if j.joint in operation.joints and (j.first in arrived or j.second in arrived)
        ]

    def _place_rest(self) -> None:
        """Pieces that no joint holds are set in place at the end."""
        rest = [p for p in self.plan.pieces if not self._is_placed(p) and p not in self._on_wall()]
        if rest:
            self._join("set in place", "", rest, (), [], self._ready_for(rest), glued=False)

    def _set_in(self, units: Sequence[str]) -> None:
        """Assemblies that no joint holds to the rest are set in place: a drawer slides into its case."""
        bodies = dict.fromkeys(self.plan.pieces[p].assembly for p in self.plan.pieces)
        for unit in [u for u in units if u][1:] if len(bodies) > 1 else []:
            pieces = self._members(unit)
            own = dict.fromkeys(pieces)
            if not any((j.first in own) != (j.second in own) for j in self.plan.joints):
                parts, after = parts_of(self.plan, pieces), self._ready_for(pieces)
                name = f"set in {unit}"
                self._add(Operation(name, Kind.JOIN, parts, tuple(pieces), unit=unit, after=after, shown_with=name))
                self._stand(pieces, name, "it must stand in its place first")

    def _on_wall(self) -> list[str]:
        """Pieces that are fixed to the wall before the rest is hung on them."""
        hangs_by = self.plan.description.hangs_by
        return [p.id for p in self.plan.pieces.values() if hangs_by is not None and p.name == hangs_by.text]

    def _hang(self) -> None:
        """The last step, when the finish is dry."""
        wall = self._on_wall()
        if wall:
            why = "a finish is put on before the piece hangs"
            after = (After("finish", why),) if self.plan.description.finish else (After("check", why),)
            parts = parts_of(self.plan, wall)
            self._add(Operation("hang", Kind.HANG, parts, tuple(wall), places=self._place(wall), after=after))

    def _end(self) -> None:
        everything = tuple(self.plan.pieces)
        parts = parts_of(self.plan, everything)
        last = self.made[-1]
        joining = tuple(
            After(o.id, "the whole is judged when it stands")
            for o in self.made
            if o.kind in (Kind.JOIN, Kind.WAIT, Kind.PIN, Kind.SCREW)
        )
        self._add(
            Operation("check", Kind.CHECK, parts, everything, after=joining, shown_with=last.shown_with or last.id)
        )
        if self.plan.description.finish is not None:
            glued = any(j.glue for j in self.plan.joints)
            why = "glue does not hold on a finish" if glued else "scratches made while building show in the finish"
            self._add(Operation("finish", Kind.FINISH, parts, everything, after=(After("check", why),)))
        self._hang()

    # --- book-keeping

    def _add(self, operation: Operation) -> None:
        self.made.append(operation)

    def _place(self, pieces: Iterable[str]) -> tuple[str, ...]:
        new = tuple(p for p in pieces if p not in self._placed)
        self._placed.update(dict.fromkeys(new))
        return new

    def _is_placed(self, piece: str) -> bool:
        return piece in self._placed

    def _used(self, fastener: str) -> bool:
        return any(fastener in o.fasteners for o in self.made)

    def _uses(self, kind: str, pieces: Sequence[str]) -> list[_Use]:
        """Fasteners of a kind between some pieces."""
        wanted = dict.fromkeys(pieces)
        out = []
        for name, (sort, joint, first, second) in fastener_ids(self.plan).items():
            if sort == kind and first in wanted and second in wanted:
                drilled = any(h.in_place and h.joint == joint for h in self.plan.pieces[second].in_place_holes)
                out.append(_Use(name, sort, joint, first, second, drilled))
        return out

    def _stand(self, pieces: Iterable[str], operation: str, because: str) -> None:
        for piece in pieces:
            self._stands[piece] = (operation, because)

    def _ready_for(self, pieces: Sequence[str]) -> tuple[After, ...]:
        """What must be done before these pieces can be joined: the last operation on each, or on its whole copy."""
        out: dict[str, str] = {}
        copies = dict.fromkeys(self.plan.pieces[p].assembly for p in pieces if self.plan.pieces[p].assembly[0])
        beside = [p.id for p in self.plan.pieces.values() if p.assembly in copies and p.id in self._stands]
        for piece in [*pieces, *beside]:
            if piece in self._stands:
                operation, because = self._stands[piece]
                out.setdefault(operation, because)
            elif not self.plan.part_of(piece).fit_in_place and any(o.id == "smooth" for o in self.ready):
                out.setdefault("smooth", "inner edges cannot be reached once parts are joined")
        return tuple(After(name, why) for name, why in out.items())


def joining(plan: SolvedPlan, ready: Sequence[Operation]) -> list[Operation]:
    """Operations from the first dry fit to the finish. `ready`: those on single parts."""
    return Joining(plan, ready).operations()
