from collections import Counter

from jobs.households.queries import alias_pool
from jobs.households.rules import next_alias


def test_there_are_enough_aliases_and_none_twice() -> None:
    pool = alias_pool()
    assert len(pool) >= 60
    assert len(set(pool)) == len(pool)


def test_no_alias_repeats_before_all_are_used() -> None:
    used: Counter[str] = Counter()
    given = []
    for _ in range(5):
        given.append(next_alias(["Alder", "Birch", "Cedar"], used))
        used[given[-1]] += 1
    assert given == ["Alder", "Birch", "Cedar", "Alder", "Birch"]
