import re

from jobs.vehicles.outline import BOX, ZONES, zone_words, zones

THUMB = (
    44  # the least side of a target for shop hands, in px; the drawing is shown 320 px wide, unit for unit
)


def extent(path: str) -> tuple[float, float]:
    """Width and height of a path of absolute points, H and V."""
    x: list[float] = []
    y: list[float] = []
    for letter, numbers in re.findall(r"([MLHVC])([^MLHVCZ]*)", path):
        figures = [float(word) for word in re.findall(r"-?\d+", numbers)]
        if letter == "H":
            x += figures
        elif letter == "V":
            y += figures
        else:
            x += figures[::2]
            y += figures[1::2]
    return max(x) - min(x), max(y) - min(y)


def test_every_part_of_the_drawing_is_big_enough_for_a_thumb() -> None:
    for key, (_, path) in ZONES.items():
        if path:
            assert min(extent(path)) >= THUMB, key


def test_the_drawing_stays_in_its_box_and_both_sides_are_there() -> None:
    _, _, width, height = map(int, BOX.split())
    for _, path in ZONES.values():
        assert all(0 <= int(figure) <= max(width, height) for figure in re.findall(r"-?\d+", path))
    left = {key.removeprefix("left_") for key in ZONES if key.startswith("left_")}
    right = {key.removeprefix("right_") for key in ZONES if key.startswith("right_")}
    assert left == right


def test_marked_parts_are_told_in_words_in_the_order_of_the_walk() -> None:
    assert zone_words(["roof", "hood"]) == ["Hood", "Roof"]
    assert [zone.key for zone in zones(["roof"]) if zone.marked] == ["roof"]
