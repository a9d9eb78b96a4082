"""Apply the described joints to every pair of pieces that meet: notches, holes, fasteners, and where they are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from attrs import define, field

from planpress.base.diagnostics import Findings, Place
from planpress.base.printing import Units
from planpress.base.quantities import Quantity
from planpress.base.reference.fasteners import INCH_SCREWS, METRIC_SCREWS, NEAREST_METRIC, Screw
from planpress.base.reference.woods import find_wood
from planpress.description import records as described
from planpress.description.faults import FormulaError
from planpress.geometry.vectors import add, dot, neg, scale
from planpress.model.blanks import Blank
from planpress.model.contacts import (
    Patch,
    dowel_at,
    in_notch,
    in_the_way,
    row_order,
    screw_through,
    spots,
    spread,
    touching,
    wood_before,
)
from planpress.model.cutting import JointError, Settings
from planpress.model.kinds import cut_joint, kind_of
from planpress.model.laps import merge_neighbours
from planpress.model.placing import described_fault, positive
from planpress.model.records import Fastener, FastenerPlace, JointPlace

#: A screw or dowel needs a touching area at least this many times its diameter wide (common practice, no source).
LEAST_LAND = 2
#: A dowel is shorter than its two holes together, for glue and air (common practice, no source), mm.
DOWEL_EASE = {Units.IMPERIAL: Fraction(254, 160), Units.METRIC: Fraction(2)}
#: What a through dowel stands out before it is trimmed flush (common practice, no source), mm.
DOWEL_PROUD = {Units.IMPERIAL: Fraction(254, 40), Units.METRIC: Fraction(6)}
#: Room that a driver with its bit needs before a screw's head (common practice, no source), mm.
DRIVER_REACH = Fraction(150)
#: How deep a counterbored or plugged head lies below the surface unless the plan says (common practice, no source), mm.
USUAL_SINK = {Units.IMPERIAL: Fraction(254, 40), Units.METRIC: Fraction(6)}


@define
class Joiner:
    """Works through the joints of a plan and keeps what it finds; fasteners have no letters yet."""

    blanks: list[Blank]
    settings: Settings
    findings: Findings
    places: list[JointPlace] = field(factory=list)
    fasteners: list[Fastener] = field(factory=list)
    laps: dict[tuple[str, str], JointPlace] = field(factory=dict)
    _bounds: dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]] = field(factory=dict)

    @property
    def names(self) -> Mapping[str, Quantity]:
        """Values of the edition."""
        return self.settings.names

    @property
    def units(self) -> Units:
        """The unit system of the edition."""
        return self.settings.units

    def join(self, joints: Sequence[described.Joint]) -> None:
        """Mitres first, because they cut ends; then what cuts the wood, because fasteners sit on its floors."""
        for joint in joints:
            if isinstance(joint, described.MitreJoint):
                self._attempt(joint)
        for joint in joints:
            if isinstance(joint, described.ShapedJoint) and not isinstance(joint, described.MitreJoint):
                self._attempt(joint)
        for blank in self.blanks:
            merge_neighbours(blank)
        for joint in joints:
            if not isinstance(joint, described.ShapedJoint):
                self._attempt(joint)

    def _attempt(self, joint: described.Joint) -> None:
        try:
            if isinstance(joint, described.ButtJoint):
                self._butt(joint)
            elif isinstance(joint, described.DowelJoint):
                self._dowels(joint)
            elif isinstance(joint, described.ScrewJoint):
                self._screws(joint)
            else:
                self._shaped(joint)
        except FormulaError as fault:
            self.findings.items.append(fault.diagnostic)

    def _shaped(self, joint: described.ShapedJoint) -> None:
        """Cut the wood of every pair that meets."""
        found = 0
        for first, second in self._pairs(joint.between):
            try:
                cut = cut_joint(first, second, joint, self.settings)
            except JointError as fault:
                self.findings.error(
                    "joint",
                    f"'{first.id}' and '{second.id}' cannot be joined by '{joint.name}' ({kind_of(joint)}): {fault}",
                    joint.place,
                    hint="move or turn one of them, or take another kind of joint",
                )
                return
            if cut is not None:
                found += 1
                self.places += [cut.place, *cut.seats]
                self.blanks.extend(cut.made)
                if isinstance(joint, described.MitreJoint):
                    self._bounds.clear()  # the ends have moved
                self.laps[first.id, second.id] = cut.place
        touches = isinstance(joint, (described.EdgeJoint, described.MitreJoint))
        self._say_if_none(found, joint.name, joint.between, joint.place, "touch" if touches else "overlap")

    def _butt(self, joint: described.ButtJoint) -> None:
        found = 0
        for first, second in self._pairs(joint.between):
            patch = touching(first, second, self.laps)
            if patch is not None:
                found += 1
                self.places.append(_place(joint.name, "butt", patch, joint.glue))
        self._say_if_none(found, joint.name, joint.between, joint.place, "touch")

    def _dowels(self, joint: described.DowelJoint) -> None:
        diameter = positive(self.settings.of_units(joint.diameter), self.names)
        depth = positive(self.settings.of_units(joint.depth), self.names)
        depth_first = positive(self.settings.of_units(joint.depth_first), self.names) if joint.depth_first else None
        if joint.through:
            depth_first = None
        elif depth_first is None:
            depth_first = depth
        count = self.settings.whole(joint.count)
        places: list[FastenerPlace] = []
        total = Fraction(0)
        for first, second in self._pairs(joint.between):
            patch = self._land(first, second, diameter)
            if patch is None:
                continue
            self.places.append(_place(joint.name, "dowel", patch, joint.glue))
            for spot in spots(patch, count):
                place, total = dowel_at(patch, spot, diameter, depth_first, depth, DOWEL_PROUD[self.units], joint.name)
                places.append(place)
        self._say_if_none(len(places), joint.name, joint.between, joint.place, "touch")
        if places:
            length = total + DOWEL_PROUD[self.units] if joint.through else total - DOWEL_EASE[self.units]
            self.fasteners.append(
                Fastener(
                    letter="",
                    kind="dowel",
                    label="Dowel",
                    diameter=diameter,
                    length=length,
                    head_diameter=Fraction(0),
                    head_angle=Fraction(0),
                    material="hardwood",
                    remark="trim flush" if joint.through else "",
                    joint=joint.name,
                    places=tuple(places),
                )
            )

    def _screws(self, joint: described.ScrewJoint) -> None:
        screw = self._screw(joint)
        length = positive(joint.length, self.names)
        count = self.settings.whole(joint.count)
        sunk = Fraction(0)
        if joint.head != "countersunk":
            sunk = positive(self.settings.of_units(joint.sink), self.names) if joint.sink else USUAL_SINK[self.units]
        places: list[FastenerPlace] = []
        pairs = list(self._pairs((joint.through, joint.into)))
        for first in [b for b in self.blanks if b.record.name == joint.through.text]:
            lands = [p for a, b in pairs if a is first and (p := self._land(a, b, screw.clearance)) is not None]
            patches = [land for land in lands if self._driver_reaches(land, screw)]
            if lands and not patches:
                self.findings.error(
                    "screw-reach",
                    f"joint '{joint.name}': no driver reaches a screw in '{first.id}'; another part stands in its way",
                    joint.place,
                    hint="move that part, or drive the screws from the other side",
                )
            if not patches:
                continue
            for patch, spot in self._chosen_spots(row_order(patches), count, joint, first):
                thick = wood_before(first, spot, patch.direction)
                if length + sunk <= thick:
                    raise described_fault(
                        "screw-length",
                        f"'{joint.length.text}' comes out as {float(length):g} mm; the screw does not reach through"
                        f" '{first.id}', which is {float(thick):g} mm thick there",
                        joint.length,
                        "take a longer screw",
                    )
                wood = find_wood(patch.second.material.species)
                dense = wood is not None and wood.is_dense
                places.append(screw_through(patch, spot, screw, length, sunk, joint.head, dense, joint.name))
                self.places.append(_place(joint.name, "screw", patch, glue=False))
        self._say_if_none(len(places), joint.name, (joint.through, joint.into), joint.place, "touch")
        if places:
            self.fasteners.append(
                Fastener(
                    letter="",
                    kind="screw",
                    label=f"Wood screw, {screw.name}",
                    diameter=screw.shank,
                    length=length,
                    head_diameter=screw.head,
                    head_angle=screw.head_angle,
                    material=joint.material,
                    remark="countersunk head",
                    joint=joint.name,
                    places=tuple(places),
                )
            )

    def _chosen_spots(
        self, patches: Sequence[Patch], count: int, joint: described.ScrewJoint, first: Blank
    ) -> list[tuple[Patch, tuple[Fraction, Fraction, Fraction]]]:
        """Which patches of one first member get a screw, and where."""
        if count <= len(patches):
            return [(patches[i], spots(patches[i], 1)[0]) for i in spread(len(patches), count)]
        each, rest = divmod(count, len(patches))
        if rest:
            self.findings.error(
                "screw-count",
                f"{count} screws cannot be shared evenly: '{first.id}' touches {len(patches)} pieces of"
                f" '{joint.into.text}'",
                joint.place,
                hint=f"ask for at most {len(patches)}, or for a multiple of it",
            )
            return []
        return [(patch, spot) for patch in patches for spot in spots(patch, each)]

    def _land(self, first: Blank, second: Blank, diameter: Fraction) -> Patch | None:
        """Where a pair touches widely enough for a fastener of that diameter, on wood that no notch has taken."""
        patch = touching(first, second, self.laps)
        if patch is None or patch.least_extent < LEAST_LAND * diameter:
            return None
        lapped = (first.id, second.id) in self.laps or (second.id, first.id) in self.laps
        if not lapped:
            for blank, towards in ((first, 1), (second, -1)):
                side = max(blank.faces(), key=lambda f: dot(f[1], patch.direction) * towards)[0]
                if any(in_notch(blank, spot, side) for spot in spots(patch, 1)):
                    return None
        return patch

    def _driver_reaches(self, land: Patch, screw: Screw) -> bool:
        """True if nothing stands before the head of a screw in the middle of a land."""
        outward = neg(land.direction)
        spot = spots(land, 1)[0]
        head = add(spot, scale(outward, wood_before(land.first, spot, land.direction)))
        others = (b for b in self.blanks if b is not land.first and b is not land.second)
        return not any(in_the_way(b, head, outward, screw.head / 2, DRIVER_REACH) for b in others)

    def _screw(self, joint: described.ScrewJoint) -> Screw:
        gauge = self.settings.whole(joint.gauge)
        if gauge not in INCH_SCREWS:
            raise described_fault(
                "screw-gauge",
                f"no wood screw of gauge {gauge} is in the table",
                joint.gauge,
                "usual gauges: " + ", ".join(str(g) for g in INCH_SCREWS),
            )
        if self.units is Units.IMPERIAL:
            return INCH_SCREWS[gauge]
        if joint.metric_diameter is None:
            return METRIC_SCREWS[NEAREST_METRIC[gauge]]
        size = positive(joint.metric_diameter, self.names)
        if size not in METRIC_SCREWS:
            raise described_fault(
                "screw-gauge",
                f"no wood screw of {float(size):g} mm is in the table",
                joint.metric_diameter,
                "usual sizes: " + ", ".join(f"{float(s):g} mm" for s in METRIC_SCREWS),
            )
        return METRIC_SCREWS[size]

    def _pairs(self, between: tuple[described.Name, described.Name]) -> Iterator[tuple[Blank, Blank]]:
        """Pairs of pieces of the two parts whose boxes meet; a part joined to itself gives each pair once."""
        firsts = [b for b in self.blanks if b.record.name == between[0].text]
        seconds = [b for b in self.blanks if b.record.name == between[1].text]
        alike = between[0].text == between[1].text
        for i, first in enumerate(firsts):
            for second in seconds[i + 1 :] if alike else seconds:
                if self._near(first, second):
                    yield first, second

    def _near(self, a: Blank, b: Blank) -> bool:
        low_a, high_a = self._box(a)
        low_b, high_b = self._box(b)
        return all(low_a[i] <= high_b[i] + 1e-3 and low_b[i] <= high_a[i] + 1e-3 for i in range(3))

    def _box(self, blank: Blank) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        if blank.id not in self._bounds:
            self._bounds[blank.id] = blank.bounds()
        return self._bounds[blank.id]

    def _say_if_none(
        self,
        found: int,
        name: str,
        between: tuple[described.Name, described.Name],
        place: Place,
        verb: str,
    ) -> None:
        if not found and not self.findings.has_errors:
            self.findings.error(
                "joint-nowhere",
                f"joint '{name}': no '{between[0].text}' and '{between[1].text}' {verb} anywhere",
                place,
                hint="move the parts until they meet, or take the joint out",
            )


def _place(joint: str, kind: str, patch: Patch, glue: bool) -> JointPlace:
    return JointPlace(joint, kind, patch.first.id, patch.second.id, patch.direction, patch.outline, glue)
