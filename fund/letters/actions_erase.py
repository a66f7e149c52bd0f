from collections.abc import Sequence

from fund.gifts.models import Supporter
from fund.letters.models import Letter


def forget_in_letters(supporters: Sequence[Supporter]) -> None:
    """Take away to whom letters went; their words, which name nobody, stay. Called by the erasing of a supporter."""
    Letter.objects.filter(supporter__in=supporters).update(to_name="", to_address="", to_email="")
