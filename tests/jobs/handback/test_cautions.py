import pytest

from jobs.handback.cautions import CALL_US, MAKER_FIRST, RETORQUE, care_notes


@pytest.mark.parametrize(
    "job", ["brakes: front pads and rotors", "two tires", "Wheel bearing", "tie-rod ends"]
)
def test_wheel_work_asks_for_torquing_again_after_50_to_100_miles(job: str) -> None:
    assert care_notes(job)[0] == RETORQUE


def test_a_job_that_left_the_wheels_on_does_not_ask_for_torquing() -> None:
    assert RETORQUE not in care_notes("alternator")


def test_a_cooling_job_warns_of_the_hot_cap() -> None:
    assert any("Never open the cap of a hot engine" in note for note in care_notes("cooling system"))


def test_every_sheet_says_when_to_stop_and_call_and_that_the_maker_comes_first() -> None:
    assert care_notes("")[-1] == CALL_US
    assert "maker's own procedure" in MAKER_FIRST
    assert "Local codes" in MAKER_FIRST
