import pytest

from fund.refusal import NotReady
from reports.month.rules_privacy import (
    Leak,
    Private,
    leaks_in_outputs,
    leaks_in_text,
    refuse_leaks,
    shown_span,
    shown_spans,
)

DOE = Private(
    alias="Alder",
    names=("Wilhelmina Brown", "Zed O'Shea-Lark"),
    phones=("(555) 014-2377",),
    streets=("418 Tannery Bend",),
    plates=("KLM-4471", "TOWED"),
    vins=("1M8GDM9AXKP042788",),
)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Wilhelmina said it grinds", "a name"),
        ("ask BROWN about it", "a name"),
        ("her cousin Zed came", "a name"),
        ("call 555-014-2377 first", "a telephone number"),
        ("call 555 014 2377 first", "a telephone number"),
        ("ask O’Shea", "a name"),
        ("ask Oshea", "a name"),
        ("ask Mrs. Lark's son", "a name"),
        ("parked on Tannery Bend", "a street"),
        ("plate klm 4471", "a plate"),
        ("the car was TOWED", "a plate"),
        ("vin 1m8gdm9axkp042788", "a VIN"),
        ("vin 1M8GDM9AX-KP042788", "a VIN"),
    ],
)
def test_each_kind_of_value_is_found_in_what_people_wrote(text: str, kind: str) -> None:
    assert Leak("the story of Alder", kind, "Alder") in leaks_in_text({"the story of Alder": text}, [DOE])


@pytest.mark.parametrize(
    "text",
    [
        "brown fluid, front pads to metal",
        "overheated after 25 min; split hose; 40-min drive, level rechecked cold",
        "30 minute test drive; 5 lug circle torqued; one lane",
        "octane 87 fuel decided 5 cold starts",
        "Died at lights; 11.9 V, diode. 2 rotors, 1.8 h.",
        "zedded clamp",
    ],
)
def test_plain_shop_words_pass(text: str) -> None:
    assert leaks_in_text({"story": text}, [DOE]) == []


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("write to someone@example.org", "an e-mail address"),
        ("VIN 11111111111111A11", "a VIN"),
        ("call (555) 010-9999", "a telephone number"),
        ("came in on 2026-03-04", "a date"),
        ("came in 3/4/2026", "a date"),
        ("came in March 4th", "a date"),
        ("came in on 4 March", "a date"),
        ("lives at 12 Mill Lane", "a street address"),
        ("lives at 1847 Marble Fox Lane", "a street address"),
        ("lives at 12 N. Old Café Rd", "a street address"),
        ("lives at 9 Tannery Circle", "a street address"),
    ],
)
def test_what_looks_private_by_its_shape_is_found_without_knowing_the_household(text: str, kind: str) -> None:
    assert [leak.kind for leak in leaks_in_text({"story": text}, [])] == [kind]


def test_outputs_are_searched_for_whole_values() -> None:
    page = "<p>for Wilhelmina\n  Brown of 418 Tannery Bend</p>"
    kinds = {leak.kind for leak in leaks_in_outputs({"index.html": page}, [DOE], [])}
    assert kinds == {"a name", "a street"}


def test_outputs_are_searched_without_accents_and_entities() -> None:
    house = Private(alias="Fir", names=("Rosa Núñez", "Pat O'Hara"), streets=("9 Old Café Road Larkwater",))
    assert [leak.kind for leak in leaks_in_outputs({"a": "for Rosa  Nunez"}, [house], [])] == ["a name"]
    assert [leak.kind for leak in leaks_in_outputs({"a": "Pat O&#x27;Hara"}, [house], [])] == ["a name"]
    assert [leak.kind for leak in leaks_in_outputs({"a": "on OLD CAFE RD"}, [house], [])] == ["a street"]
    assert leaks_in_outputs({"a": "Larkwater, an old road"}, [house], []) == []


def test_the_name_of_someone_who_signs_is_not_a_leak_even_when_a_household_shares_it() -> None:
    namesake = Private(alias="Birch", names=("Maren Holt",))
    page = "Reviewed by Maren Holt."
    assert leaks_in_outputs({"page": page}, [namesake], ["Maren Holt"]) == []
    assert leaks_in_outputs({"page": page}, [namesake], []) != []


def test_the_refusal_names_place_and_kind_but_never_the_value() -> None:
    with pytest.raises(NotReady) as refused:
        refuse_leaks(leaks_in_text({"the story of Alder": "Wilhelmina Brown, KLM-4471"}, [DOE]))
    said = str(refused.value)
    assert "the story of Alder holds a plate of household Alder." in said
    assert "Wilhelmina" not in said
    assert "KLM" not in said


def test_no_leak_no_refusal() -> None:
    refuse_leaks([])


def test_counts_of_one_to_four_are_told_as_a_span_and_zero_as_itself() -> None:
    # The rule "zero may be shown, a small cell may not" is that of the CMS cell size policy (ResDAC, 2024-01-26),
    # whose own line is 10; the line of 5 is this program's, for counts that carry no medical fact.
    assert [shown_span(n) for n in range(7)] == [(0, 0), (1, 4), (1, 4), (1, 4), (1, 4), (5, 5), (6, 6)]


def test_a_stock_is_told_in_steps_while_a_flow_into_it_is_hidden() -> None:
    # The same policy forbids any figure from which a hidden one can be worked out.
    assert shown_spans({"asked": 6, "declined": 0}, 8)["waiting"] == (8, 8)
    assert shown_spans({"asked": 6, "declined": 2}, 8)["waiting"] == (5, 9)
    assert shown_spans({"asked": 3, "declined": 0}, 12)["waiting"] == (10, 14)
    assert shown_spans({"asked": 3, "declined": 0}, 2)["waiting"] == (1, 4)
    assert shown_spans({"asked": 3, "declined": 0}, 0)["waiting"] == (0, 0)
