"""[tank] of car.toml: one table for each shape, all with the keys of TankTable. A new shape is one more class here.

A key that every tank may have is added to TankTable and to `record`; a shape's own key to its class and to `inside`.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator

from planner.car import Pickup, Tank
from planner.files.fields import Choice, Extent, Listed, Measure, Number, Pair
from planner.files.tables import Table
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

_TANK = Tank(Box(1.0, 1.0, 1.0))
_OFFSET = Measure("length", "-3 m", "3 m", shown='"-150 mm"')
LEVEL = Measure("length", "0 mm", "3 m", shown='"8 mm"')
VOLUME = Measure("volume", "0 L", "500 L")
_DIPS = Listed(2, '[["0 mm", "0 L"], ["40 mm", "1.1 L"], ["90 mm", "2.6 L"]]')
_DIP = Pair(LEVEL, VOLUME, ("level", "volume"), '["40 mm", "1.1 L"]')


class PickupTable(Table):
    """tank.pickup"""

    ahead: Annotated[float, BeforeValidator(_OFFSET)] = 0.0
    left: Annotated[float, BeforeValidator(_OFFSET)] = 0.0
    height: Annotated[float, BeforeValidator(LEVEL)] = 0.0

    def record(self) -> Pickup:
        """The pickup."""
        return Pickup(self.ahead, self.left, self.height)


class SumpTable(Table):
    """[tank.sump]: a small box below the tank's floor, open to it"""

    length: Extent
    width: Extent
    height: Extent
    ahead: Annotated[float, BeforeValidator(_OFFSET)] = 0.0
    left: Annotated[float, BeforeValidator(_OFFSET)] = 0.0

    def under(self, main: Box | UprightCylinder | DipTable) -> WithSump:
        """The shape of a tank with this sump."""
        return WithSump(main, Box(self.length, self.width, self.height), self.ahead, self.left)


class TankTable(Table):
    """The keys that every tank has; `own` names those of its shape."""

    own: ClassVar[tuple[str, ...]] = ()
    shape: str
    fill_limit: Annotated[float, BeforeValidator(Number(0, 1, "0.95", above_lowest=True, percent=True))] = (
        _TANK.fill_limit
    )
    pickup: PickupTable = PickupTable()
    sump: SumpTable | None = None
    low_level_switch: Annotated[float, BeforeValidator(VOLUME)] | None = None
    empty_mass: Annotated[float, BeforeValidator(Measure("mass", "0 kg", "200 kg"))] | None = None
    damping: Annotated[float, BeforeValidator(Number(0.001, 0.9, "0.15", percent=True))] = _TANK.damping
    pickup_margin: Annotated[float, BeforeValidator(Measure("length", "0 mm", "300 mm"))] = _TANK.pickup_margin

    def inside(self) -> TankShape:
        """The shape's record, a sump left out."""
        raise NotImplementedError

    def whole(self) -> TankShape:
        """The shape's record, with its sump if it has one. A lying cylinder takes none."""
        main = self.inside()
        if self.sump is None:
            return main
        assert isinstance(main, Box | UprightCylinder | DipTable)
        return self.sump.under(main)

    def record(self) -> Tank:
        """The tank."""
        return Tank(
            shape=self.whole(),
            fill_limit=self.fill_limit,
            pickup=self.pickup.record(),
            low_level_switch=self.low_level_switch,
            empty_mass=self.empty_mass,
            damping=self.damping,
            pickup_margin=self.pickup_margin,
        )


class BoxTable(TankTable):
    """[tank] of shape box"""

    own: ClassVar[tuple[str, ...]] = ("length", "width", "height")
    shape: Literal["box"]
    length: Extent
    width: Extent
    height: Extent

    def inside(self) -> Box:
        """The box."""
        return Box(self.length, self.width, self.height)


class UprightCylinderTable(TankTable):
    """[tank] of shape upright cylinder"""

    own: ClassVar[tuple[str, ...]] = ("diameter", "height")
    shape: Literal["upright cylinder"]
    diameter: Extent
    height: Extent

    def inside(self) -> UprightCylinder:
        """The cylinder."""
        return UprightCylinder(self.diameter, self.height)


class LyingCylinderTable(TankTable):
    """[tank] of shape lying cylinder"""

    own: ClassVar[tuple[str, ...]] = ("diameter", "length", "axis")
    shape: Literal["lying cylinder"]
    diameter: Extent
    length: Extent
    axis: Annotated[Literal["x", "y"], BeforeValidator(Choice("axis", ("x", "y")))] = "x"

    def inside(self) -> LyingCylinder:
        """The cylinder."""
        return LyingCylinder(self.diameter, self.length, self.axis)


class DipTableTable(TankTable):
    """[tank] of shape dip table"""

    own: ClassVar[tuple[str, ...]] = ("dips", "length", "width")
    shape: Literal["dip table"]
    dips: Annotated[tuple[Annotated[tuple[float, float], BeforeValidator(_DIP)], ...], BeforeValidator(_DIPS)]
    length: Extent
    width: Extent

    def inside(self) -> DipTable:
        """The table."""
        levels, volumes = zip(*self.dips, strict=True)
        return DipTable(levels, volumes, self.length, self.width)


SHAPES: dict[str, type[TankTable]] = {
    "box": BoxTable,
    "upright cylinder": UprightCylinderTable,
    "lying cylinder": LyingCylinderTable,
    "dip table": DipTableTable,
}


def _other_shapes_keys(shape: str) -> dict[str, str]:
    """What to say of each key that belongs to other shapes."""
    own = SHAPES[shape].own
    owners: dict[str, list[str]] = {}
    for name, table in SHAPES.items():
        for key in set(table.own) - set(own):
            owners.setdefault(key, []).append(name)
    has = f"{'an' if shape[0] in 'aeiou' else 'a'} {shape} has {', '.join(own)}"
    return {key: f"belongs to the shape {' or '.join(names)}; {has}" for key, names in owners.items()}


for _shape, _table in SHAPES.items():
    _table.elsewhere = _other_shapes_keys(_shape)
