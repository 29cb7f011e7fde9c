"""Plain facts of walls and holders for the load checks, and walls with holders hung by hand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from nesting.lengths import Unit
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.strength.rails import Rail
from nesting.strength.species import read_species
from nesting.wall.holders import build_all
from nesting.wall.load import Loads, loads
from nesting.wall.load_facts import Board, Driven, HolderFacts, JointScrews, PieceFacts, WallFacts
from nesting.wall.load_rows import Words
from nesting.wall.naming import HungPiece
from tests.wall.workshop import workshop

WORDS = Words("in", Fraction(1, 32))
SOLD = (2.0, 2.5, 3.0, 3.5, 4.0)


@dataclass(frozen=True)
class Hung:
    holder: str
    x: Fraction
    row: int
    foot: str = "spacer"


def wall(**keys: Any) -> WallFacts:
    """Cleats of .719 ply 4 in high on spruce-pine-fir behind drywall, one No. 10 x 3 in screw at each stud."""
    facts: dict[str, Any] = {
        "bevel": 45.0,
        "thickness": 0.719,
        "wall_height": 4.0,
        "holder_height": 3.0,
        "gauge": 10,
        "length": 3.0,
        "per_stud": 1,
        "between": 0.5,
        "species": read_species("spruce-pine-fir"),
        "sold": SOLD,
    }
    return WallFacts(**facts | keys)


def shelf(**keys: Any) -> HolderFacts:
    """A shelf 24 in wide, 10 high and 8 deep of .719 ply with gussets: 40 lb contents, 10 lb of its own."""
    small, long = Driven(6, 1.25, 4), Driven(6, 2.0, 5)
    facts: dict[str, Any] = {
        "name": "shelf",
        "style": "shelf",
        "width": 24.0,
        "height": 10.0,
        "depth": 8.0,
        "thickness": 0.719,
        "contents": 40.0,
        "own": 10.0,
        "out": 4.719,
        "pad": 7.36,
        "into_cleat": small,
        "joints": (
            JointScrews("back", "shelf", long),
            JointScrews("back", "gusset", Driven(6, 2.0, 6)),
            JointScrews("shelf", "gusset", Driven(6, 2.0, 6)),
        ),
        "board": Board(24.0, 7.281),
        "gusset": (7.281, 7.281),
    }
    return HolderFacts(**facts | keys)


def piece(*holders: HolderFacts, studs: tuple[float, ...] = (4.0, 20.0, 36.0), length: float = 40.0) -> PieceFacts:
    return PieceFacts("row 1 a", 1, Rail(length, studs), holders)


def hung_by_hand(
    *holders: dict[str, Any],
    unit: Unit = "in",
    feet: str = "spacer",
    cleats: dict[str, Any] | None = None,
    sheets: list[dict[str, Any]] | None = None,
    **keys: Any,
) -> Loads:
    """A wall 48 in wide with studs at 8, 24 and 40 in, a piece over all three in each row, a holder in each row."""
    inch = Fraction(1) if unit == "in" else Fraction(127, 5)

    def told(value: float) -> Any:
        return value if unit == "in" else f"{float(Fraction(str(value)) * inch):.6f}".rstrip("0").rstrip(".")

    across = {
        "width": told(48),
        "height": told(84),
        "sheathing": [{"name": "drywall", "thickness": told(0.5)}],
        "studs": {"first": told(8), "spacing": told(16), "species": "spruce-pine-fir", "stud_width": told(1.5)},
        "embedment": told(1.25),
    }
    project = workshop(*holders, unit=unit, wall=across | keys, **(cleats or {}))
    if sheets is not None:
        project = project_from_mapping(project_to_mapping(project) | {"sheet": sheets})
    built, faults = build_all(project)
    assert not faults
    pieces = [HungPiece(n + 1, 4 * inch, 40 * inch, f"row {n + 1} a") for n in range(len(built) + 1)]
    placed = [Hung(one.name, 4 * inch, n + 1, feet) for n, one in enumerate(built)]
    return loads(project, built, pieces, placed)
