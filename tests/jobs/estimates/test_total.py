from fund.money import Money
from jobs.estimates.rules import Kind, LineDraft, add_up

# A reman alternator bought at the counter: 214.99, tax 17.74 and a core deposit of 55.00.
ALTERNATOR = [
    LineDraft(Kind.PART, "alternator", Money(214_99), condition="reman"),
    LineDraft(Kind.TAX, "sales tax", Money(17_74)),
    LineDraft(Kind.CORE, "old alternator", Money(55_00)),
]


def test_core_deposits_stand_beside_the_cost_and_never_in_it() -> None:
    found = add_up(ALTERNATOR)
    assert found.cost == Money(232_73)
    assert found.cores == Money(55_00)
    assert found.laid_out == Money(287_73)


def test_every_other_kind_counts_as_cost() -> None:
    lines = [LineDraft(kind, kind.value, Money(1_00)) for kind in Kind]
    assert add_up(lines).cost == Money(6_00)
    assert [name for name, _ in add_up(lines).by_kind] == [kind.value for kind in Kind]


def test_an_empty_estimate_costs_nothing() -> None:
    assert add_up([]).laid_out == Money(0)
