"""Doors that a higher room puts before a purchase and a taking from the shelf. The money app knows no households; it only asks.

A gate is called with the person and the cost object for whoever bought, posts or takes; it refuses by raising.
"""

from collections.abc import Callable, Iterable

from fund.access.models import Person

Gate = Callable[[Person, str], None]
GATES: list[Gate] = []
Use = Callable[[str, str], None]
USES: list[Use] = []
"""Asked about each cost object and the home (``homes.HOMES``) of what is bought for it or taken from the shelf."""


def pass_gates(people: Iterable[Person], cost_objects: Iterable[str]) -> None:
    """Ask every gate about each person and each cost object. Raises the first refusal."""
    by_pk = {person.pk: person for person in people}
    for cost_object in sorted(set(cost_objects)):
        for person in by_pk.values():
            for gate in GATES:
                gate(person, cost_object)


def pass_uses(uses: Iterable[tuple[str, str]]) -> None:
    """Ask about each pair of cost object and home. Raises the first refusal."""
    for cost_object, home in sorted(set(uses)):
        for use in USES:
            use(cost_object, home)
