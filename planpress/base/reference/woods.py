"""Woods: specific gravity and hardness class, for masses and pilot holes.

Source: Wood Handbook: Wood as an Engineering Material, FPL-GTR-190 (2010), Table 5-3a, rows at 12 % moisture.
    Averages of
clear wood; a board may differ by a tenth and more. Softwood and hardwood are the botanical groups.
"""

from __future__ import annotations

from attrs import frozen


@frozen
class Wood:
    """One wood: trade name, botanical group, specific gravity (ovendry mass over volume at 12 %)."""

    name: str
    is_hardwood: bool
    specific_gravity: float

    @property
    def density(self) -> float:
        """kg/m3 at 12 % moisture content: specific gravity, water included."""
        return self.specific_gravity * 1.12 * 1000.0

    @property
    def is_dense(self) -> bool:
        """True for woods that want the larger pilot hole (hardwoods of 0.5 and more: common practice, no source)."""
        return self.is_hardwood and self.specific_gravity >= 0.5


WOODS: dict[str, Wood] = {
    wood.name: wood
    for wood in (
        Wood("hard maple", True, 0.63),
        Wood("red maple", True, 0.54),
        Wood("silver maple", True, 0.47),
        Wood("red oak", True, 0.63),
        Wood("white oak", True, 0.68),
        Wood("black walnut", True, 0.55),
        Wood("black cherry", True, 0.50),
        Wood("white ash", True, 0.60),
        Wood("beech", True, 0.64),
        Wood("yellow birch", True, 0.62),
        Wood("yellow-poplar", True, 0.42),
        Wood("hickory", True, 0.72),
        Wood("red alder", True, 0.41),
        Wood("Douglas-fir", False, 0.48),
        Wood("eastern white pine", False, 0.35),
        Wood("ponderosa pine", False, 0.40),
        Wood("loblolly pine", False, 0.51),
        Wood("longleaf pine", False, 0.59),
        Wood("western redcedar", False, 0.32),
        Wood("Sitka spruce", False, 0.40),
    )
}

#: Panels of veneers. Mass for each volume of the whole panel, glue included: birch 680, softwood 500 kg/m3 (from
#: memory; sheets differ by a tenth and more). Specific gravity here is what gives that density.
PANELS: dict[str, Wood] = {
    panel.name: panel
    for panel in (
        Wood("birch plywood", True, 680 / 1120),
        Wood("softwood plywood", False, 500 / 1120),
    )
}


def find_wood(name: str) -> Wood | None:
    """The wood or panel of a trade name, whatever its capitals; None if it is not in the tables."""
    wanted = name.strip().lower()
    return next((wood for key, wood in (*WOODS.items(), *PANELS.items()) if key.lower() == wanted), None)
