"""A plain vehicle seen from above, unfolded: front at the top, its two sides at left and right.

Drawn by hand in whole units of a box 320 wide and 480 high; each zone is big enough for a thumb (44 units and more).
"""

from collections.abc import Iterable
from dataclasses import dataclass

BOX = "0 0 320 480"


@dataclass(frozen=True)
class Zone:
    """A part of the vehicle: its words, its outline as an SVG path, and whether it is marked."""

    key: str
    words: str
    path: str
    marked: bool = False


ZONES: dict[str, tuple[str, str]] = {
    "front_bumper": ("Front bumper", "M84 46 C84 12 110 2 160 2 C210 2 236 12 236 46 Z"),
    "hood": ("Hood", "M84 50 H236 L230 128 H90 Z"),
    "windshield": ("Windshield", "M90 132 H230 L218 178 H102 Z"),
    "roof": ("Roof", "M102 182 H218 V290 H102 Z"),
    "rear_window": ("Rear window", "M102 294 H218 L230 340 H90 Z"),
    "trunk": ("Trunk or bed", "M90 344 H230 L236 430 H84 Z"),
    "rear_bumper": ("Rear bumper", "M84 434 H236 C236 468 210 478 160 478 C110 478 84 468 84 434 Z"),
    "left_front": ("Left front fender", "M12 50 H80 L84 128 H12 C2 104 2 74 12 50 Z"),
    "left_front_door": ("Left front door", "M12 132 H86 L98 178 V234 H12 Z"),
    "left_rear_door": ("Left rear door", "M12 238 H98 V290 L86 340 H12 Z"),
    "left_rear": ("Left rear side", "M12 344 H84 L80 430 H12 C2 406 2 368 12 344 Z"),
    "right_front": ("Right front fender", "M240 50 H308 C318 74 318 104 308 128 H236 Z"),
    "right_front_door": ("Right front door", "M234 132 H308 V234 H222 V178 Z"),
    "right_rear_door": ("Right rear door", "M222 238 H308 V340 H234 L222 290 Z"),
    "right_rear": ("Right rear side", "M236 344 H308 C318 368 318 406 308 430 H240 Z"),
    "wheels": ("Wheels", ""),
    "underneath": ("Underneath", ""),
    "inside": ("Inside", ""),
}


def zones(marked: Iterable[str] = ()) -> list[Zone]:
    """All zones in the order of a walk from front to back, with those marked."""
    chosen = set(marked)
    return [Zone(key, words, path, key in chosen) for key, (words, path) in ZONES.items()]


def zone_words(marked: Iterable[str]) -> list[str]:
    """The marked zones in words."""
    return [zone.words for zone in zones(marked) if zone.marked]
