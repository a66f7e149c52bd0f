import pytest
from django.core.cache import cache
from django.test import Client


@pytest.fixture(autouse=True)
def _nothing_at_hand() -> None:
    cache.clear()


@pytest.mark.parametrize("path", ["/", "/months/"])
@pytest.mark.django_db
def test_before_the_first_month_the_pages_say_so(path: str, client: Client) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert b"No month is published yet" in answer.content


@pytest.mark.parametrize("path", ["/how-it-works/", "/ask-for-help/", "/verify/"])
@pytest.mark.django_db
def test_the_pages_of_words_stand_before_the_first_month(path: str, client: Client) -> None:
    assert client.get(path).status_code == 200
