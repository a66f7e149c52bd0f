from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Q, QuerySet

from fund.filters import MAX_WORDS, WordsFilter
from jobs.households.queries_search import found_by_word


class SealedWordsFilter(WordsFilter):
    """Words over readable columns and, by digest, over sealed values (kinds of identity.REASONS, and ``name``).

    A sealed value is found by the whole of it only: the full number, one full word of a name. ``household`` is the
    path from a row to its household. A phone or plate typed with blanks is found too.
    """

    def __init__(
        self, columns: list[str], kinds: tuple[str, ...], household: str = "pk", **kwargs: Any
    ) -> None:
        super().__init__(columns, **kwargs)
        self.kinds, self.household = kinds, household

    def filter(self, qs: QuerySet[Any], value: str | None) -> QuerySet[Any]:
        words = (value or "").split()[:MAX_WORDS]
        if not words:
            return qs
        each = Q()
        for word in words:
            readable = (Q(**{f"{column}__icontains": word}) for column in self.columns)
            each &= reduce(or_, readable, self._sealed(word, self.kinds))
        whole = self._sealed(" ".join(words), [kind for kind in self.kinds if kind != "name"])
        return qs.filter(each | whole if len(words) > 1 else each)

    def _sealed(self, text: str, kinds: Any) -> Q:
        return Q(**{f"{self.household}__in": found_by_word(text, kinds)})
