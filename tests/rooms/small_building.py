"""Writes small IFC4 building models for tests, one box a thing, in millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

Box = tuple[float, float, float, float, float, float]

ENDINGS = {
    "IFCWALL": ",$,$",
    "IFCSLAB": ",$,.{kind}.",
    "IFCCOLUMN": ",$,$",
    "IFCPLATE": ",$,$",
    "IFCFURNITURE": ",$,$",
    "IFCSTAIR": ",$,$",
    "IFCRAMP": ",$,$",
    "IFCOPENINGELEMENT": ",$,$",
    "IFCDOOR": ",$,{height},{width},$,$,$",
    "IFCWINDOW": ",$,{height},{width},$,$,$",
    "IFCSPACE": ",$,$,$,$",
}


@dataclass
class SmallBuilding:
    """A model in the making: storeys first, then boxes (x, y, z, length, width, height) [mm]."""

    unit: str = "#2=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);"
    lines: list[str] = field(default_factory=list)
    number: int = 100

    def add(self, entity: str) -> str:
        """Write one entity and return its number."""
        self.number += 1
        self.lines.append(f"#{self.number}={entity};")
        return f"#{self.number}"

    def identity(self) -> str:
        return f"'{self.number:022d}',$"

    def placed_at(self, x: float, y: float, z: float) -> str:
        point = self.add(f"IFCCARTESIANPOINT(({float(x)},{float(y)},{float(z)}))")
        return self.add(f"IFCLOCALPLACEMENT($,{self.add(f'IFCAXIS2PLACEMENT3D({point},$,$)')})")

    def storey(self, name: str, height: float | None, *, placed: bool = True) -> str:
        placement = self.placed_at(0, 0, height or 0) if placed and height is not None else "$"
        said = "$" if height is None else f"{float(height)}"
        return self.add(f"IFCBUILDINGSTOREY({self.identity()},'{name}',$,$,{placement},$,$,$,{said})")

    def box(self, kind: str, name: str, box: Box, *, storey: str | None = None, type_: str = "FLOOR") -> str:
        x, y, z, length, width, height = box
        placement = self.placed_at(x, y, z)
        corner = self.add(f"IFCCARTESIANPOINT(({length / 2},{width / 2}))")
        profile = self.add(
            f"IFCRECTANGLEPROFILEDEF(.AREA.,$,{self.add(f'IFCAXIS2PLACEMENT2D({corner},$)')},{float(length)},{float(width)})"
        )
        up = self.add("IFCDIRECTION((0.,0.,1.))")
        solid = self.add(f"IFCEXTRUDEDAREASOLID({profile},$,{up},{float(height)})")
        return self.shaped(kind, name, placement, solid, storey=storey, type_=type_, sizes=(max(length, width), height))

    def shaped(
        self,
        kind: str,
        name: str,
        placement: str,
        solid: str,
        *,
        storey: str | None = None,
        type_: str = "FLOOR",
        sizes: tuple[float, float] = (1000.0, 2000.0),
    ) -> str:
        body = self.add(f"IFCSHAPEREPRESENTATION(#10,'Body','SweptSolid',({solid}))")
        shape = self.add(f"IFCPRODUCTDEFINITIONSHAPE($,$,({body}))")
        ending = ENDINGS[kind].format(kind=type_, width=float(sizes[0]), height=float(sizes[1]))
        thing = self.add(f"{kind}({self.identity()},'{name}',$,$,{placement},{shape}{ending})")
        if storey:
            self.add(f"IFCRELCONTAINEDINSPATIALSTRUCTURE({self.identity()},$,$,({thing}),{storey})")
        return thing

    def opening(self, wall: str, box: Box, filling: str | None = None) -> None:
        void = self.box("IFCOPENINGELEMENT", "opening", box)
        self.add(f"IFCRELVOIDSELEMENT({self.identity()},$,$,{wall},{void})")
        if filling:
            self.add(f"IFCRELFILLSELEMENT({self.identity()},$,$,{void},{filling})")

    def shell(self, storey: str, z: float, outer: tuple[float, float], *, thick: float = 200) -> Sequence[str]:
        """A slab under four walls of 3 m, outer size given; returns the walls: south, north, west, east."""
        length, width = outer
        self.box("IFCSLAB", "slab", (0, 0, z - 200, length, width, 200), storey=storey)
        return [
            self.box("IFCWALL", "south wall", (0, 0, z, length, thick, 3000), storey=storey),
            self.box("IFCWALL", "north wall", (0, width - thick, z, length, thick, 3000), storey=storey),
            self.box("IFCWALL", "west wall", (0, thick, z, thick, width - 2 * thick, 3000), storey=storey),
            self.box("IFCWALL", "east wall", (length - thick, thick, z, thick, width - 2 * thick, 3000), storey=storey),
        ]

    def text(self) -> str:
        assignment = "#3=IFCUNITASSIGNMENT((#2));" if self.unit else ""
        head = [
            "ISO-10303-21;",
            "HEADER;",
            "FILE_DESCRIPTION((''),'2;1');",
            "FILE_NAME('small','2024-01-01T00:00:00',(''),(''),'','','');",
            "FILE_SCHEMA(('IFC4'));",
            "ENDSEC;",
            "DATA;",
            self.unit,
            assignment,
            "#4=IFCCARTESIANPOINT((0.,0.,0.));",
            "#5=IFCAXIS2PLACEMENT3D(#4,$,$);",
            "#10=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-5,#5,$);",
            f"#11=IFCPROJECT('{0:022d}',$,'small',$,$,$,$,(#10),{'#3' if self.unit else '$'});",
        ]
        return "\n".join([*filter(None, head), *self.lines, "ENDSEC;", "END-ISO-10303-21;", ""])

    def saved(self, folder: Path, name: str = "small.ifc") -> Path:
        path = folder / name
        path.write_text(self.text(), encoding="utf-8")
        return path
