"""An address is read the same however it is written. Short forms: US Postal Service, Publication 28, appendix C."""

import pytest

from jobs.households.addresses import read_address


@pytest.mark.parametrize(
    ("written", "number", "street", "unit"),
    [
        ("1847 Marble Fox Lane Larkwater", "1847", "marble fox ln", ""),
        ("Marble Fox Lane 1847, 62701 Larkwater", "1847", "marble fox ln", ""),
        ("Apt 4, 12 Mill St", "12", "mill st", "4"),
        ("12 Mill St, 4B, Larkwater", "12", "mill st", "4b"),
        ("No. 12 Mill St #4-B", "12", "mill st", "4b"),
        ("12 Saint James Ave, St Paul MN 55101", "12", "st james ave", ""),
        ("Rose Court, 12 Mill St, Hartford CT 06101", "12", "mill st", ""),
        ("12 Highway 61 Larkwater", "12", "hwy 61", ""),
        ("77 County Road 12", "77", "county rd 12", ""),
        ("12 Avenue A, Larkwater", "12", "ave a", ""),
        ("12 Mill St N Larkwater", "12", "mill st n", ""),
        ("12 Mill Street North Platte", "12", "mill st", ""),
        ("Trailer 7, Sunny Acres, 400 Old Highway 9", "400", "old hwy 9", "7"),
        ("Calle Mármol No. 12", "12", "calle marmol", ""),
        ("418 Tannery Bend Larkwater", "418", "tannery bend", ""),
        ("1847 Broadway, Larkwater", "1847", "broadway", ""),
        ("P.O. Box 12, Larkwater", "", "po box 12", ""),
        ("Rural Route 2, Box 14", "", "rr 2 box 14", ""),
        ("12 Mill St, PO Box 7", "12", "mill st", ""),
        ("Unit 4", "", "", "4"),
        ("", "", "", ""),
    ],
)
def test_number_street_and_unit_are_told_apart(written: str, number: str, street: str, unit: str) -> None:
    read = read_address(written)
    assert (read.number, " ".join(read.name), read.unit) == (number, street, unit)


@pytest.mark.parametrize(
    ("written", "searched", "proper"),
    [
        ("1847 N Marble Fox Lane E", ("marble fox ln",), "marble fox"),
        ("12 Mill St", ("mill st",), ""),
        ("4 N St", ("n st",), ""),
        ("1847 Broadway, Larkwater", ("1847 broadway",), ""),
        ("1847 Broadway Larkwater", ("broadway larkwater", "1847 broadway"), ""),
        ("Larkwater", (), ""),
        ("", (), ""),
    ],
)
def test_a_street_is_looked_for_by_its_name(written: str, searched: tuple[str, ...], proper: str) -> None:
    read = read_address(written)
    assert (read.searched, read.proper) == (searched, proper)
