"""What a household agreed to and what its yes is tied to, as it binds whoever works on the vehicle. No database here."""

from dataclasses import dataclass

ROUTE_YARD = "yard"
NO_WORK = (
    "The household took back its yes to inspecting and repairing the vehicle. Do nothing to it: ask them, and write a "
    "new yes with their request, or stop the repair."
)
NO_ROAD = (
    "The household does not agree that the crew drives the vehicle on the road. Test it in the yard only, or ask them "
    "and write a new yes with their request."
)
YARD_ONLY = "It is not tested on public roads: {why} Choose the route “Yard only”."


@dataclass(frozen=True)
class Bounds:
    """``conditions`` are the sentences a yes is tied to; ``work`` and ``road`` the consents on the day.

    ``no_road_condition`` is the one among them that forbids a test on public roads, empty where none does.
    """

    conditions: tuple[str, ...] = ()
    work: bool = True
    road: bool = True
    no_road_condition: str = ""

    @property
    def yard_only(self) -> bool:
        return bool(self.no_road_condition) or not self.road

    @property
    def sentences(self) -> list[str]:
        """All that binds, for the pages of the repair. No fact of the household stands in it."""
        consents = [words for given, words in ((self.work, NO_WORK), (self.road, NO_ROAD)) if not given]
        return [*consents, *self.conditions]


def drive_refusal(bounds: Bounds, route: str) -> str:
    """Why a road test may not be driven on this route; empty when it may."""
    if not bounds.work:
        return NO_WORK
    if route == ROUTE_YARD:
        return ""
    if bounds.no_road_condition:
        return YARD_ONLY.format(why=bounds.no_road_condition)
    return "" if bounds.road else f"{NO_ROAD} The route is then “Yard only”."
