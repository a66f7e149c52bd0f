from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from fund import clock
from fund.gifts.models import Gift, Supporter
from fund.gifts.queries_letters import LetterFacts, all_facts
from fund.gifts.rules import CHECK, GOODS
from fund.letters.models import Letter, LetterBatch, LetterGift, TokenLimit
from fund.letters.rules import NEEDS_LETTER, Benefit, GiftFacts, TokenLimits, speaks_of, why_left_out
from fund.letters.rules_words import Earlier
from fund.money import Money, MoneyField
from fund.rulebook.models import DatedRule
from fund.rulebook.rules import RULES

SHOWN = 50
LOOKED_AT = 500
IN_ONE_PDF = 1000  # letters that a page makes at once; the command makes one file of any number
LIVE = Q(letter__void__isnull=True)


def limits_by_year() -> dict[int, TokenLimits]:
    """The newest figures of each year."""
    return {row.year: row.limits for row in TokenLimit.objects.order_by("year", "id")}


def deductible_rule() -> Callable[[date], bool]:
    """Whether gifts of a day are tax-deductible, by the fund's dated rule; the history is read once."""
    spec = RULES["gifts_deductible"]
    rows = DatedRule.objects.filter(name=spec.name).order_by("valid_from", "id")
    steps = [(row.valid_from, spec.read(row.value)) for row in rows]

    def on(day: date) -> bool:
        known = [value for since, value in steps if since <= day]
        return bool(known[-1] if known else spec.read(spec.start))

    return on


def lettered() -> QuerySet[LetterGift]:
    """Places of gifts in letters that are not void."""
    return LetterGift.objects.filter(LIVE)


def gifts_with_facts(gifts: QuerySet[Gift]) -> list[tuple[Gift, GiftFacts]]:
    """Gifts as letters see them, oldest first. A fixed number of queries."""
    limits, deductible = limits_by_year(), deductible_rule()
    return [
        (known.gift, _facts(known, limits.get(known.received_on.year), deductible))
        for known in all_facts(gifts)
    ]


def _facts(known: LetterFacts, limits: TokenLimits | None, deductible: Callable[[date], bool]) -> GiftFacts:
    in_return = Benefit(known.benefit, known.benefit_value, known.benefit_cost, known.benefit_bears_name)
    erased = known.supporter is not None and known.supporter.erased_at is not None
    return GiftFacts(
        code=known.code,
        on=known.received_on,
        way=_way(known.gift),
        given=known.amount,
        back=known.returned,
        purpose=known.purpose,
        goods=known.description if known.goods else "",
        benefit=in_return if known.benefit else None,
        why_not="Its giver asked to be forgotten." if erased else known.why_not,
        deductible=deductible(known.received_on),
        limits=limits,
    )


def _way(gift: Gift) -> str:
    if gift.kind == CHECK:
        return f"check {gift.check_number}"
    if gift.platform:
        return f"{gift.get_kind_display()}, {gift.platform.name}"
    return str(gift.get_kind_display())


@dataclass(frozen=True, slots=True)
class Material:
    """What a letter would speak of: gifts it names, those it leaves out with the reason, and the letters before it."""

    named: list[tuple[Gift, GiftFacts]]
    left_out: list[tuple[GiftFacts, str]]
    earlier: list[Earlier]
    predecessors: dict[int, int]

    @property
    def facts(self) -> list[GiftFacts]:
        return [facts for _, facts in self.named]


def material(gifts: QuerySet[Gift], *, again: bool) -> dict[int, Material]:
    """Per supporter (by key) what a letter about these gifts would hold; gifts without a supporter have none.

    A gift that stands in a letter already is left out, unless ``again`` says that it is to be named once more.
    """
    rows = gifts_with_facts(gifts.filter(supporter__isnull=False))
    before = _letters_before([gift.pk for gift, _ in rows])
    found: dict[int, Material] = {}
    for key in dict.fromkeys(gift.supporter_id for gift, _ in rows):
        mine = [(gift, facts) for gift, facts in rows if gift.supporter_id == key]
        assert key is not None
        found[key] = _material(mine, before, again)
    return found


def _material(rows: list[tuple[Gift, GiftFacts]], before: dict[int, list[Letter]], again: bool) -> Material:
    by_code = {facts.code: gift for gift, facts in rows}
    speaking, left_out = speaks_of(facts for _, facts in rows)
    named: list[tuple[Gift, GiftFacts]] = []
    shared: dict[Letter, list[str]] = {}
    predecessors: dict[int, int] = {}
    for facts in speaking:
        gift = by_code[facts.code]
        letters = before.get(gift.pk, [])
        live = [letter for letter in letters if not is_void(letter)]
        if live and not again:
            left_out.append((facts, f"It stands in letter {live[-1].number}."))
            continue
        named.append((gift, facts))
        if letters:
            predecessors[gift.pk] = letters[-1].pk
            for letter in dict.fromkeys([*live, letters[-1]]):
                shared.setdefault(letter, []).append(facts.code)
    earlier = [
        Earlier(letter.number, letter.on, is_void(letter), tuple(codes))
        for letter, codes in sorted(shared.items(), key=lambda pair: pair[0].number)
    ]
    return Material(named, left_out, earlier, predecessors)


def _letters_before(gifts: list[int]) -> dict[int, list[Letter]]:
    rows = LetterGift.objects.filter(gift__in=gifts).select_related("letter__void").order_by("letter_id")
    found: dict[int, list[Letter]] = {}
    for row in rows:
        found.setdefault(row.gift_id, []).append(row.letter)
    return found


def is_void(letter: Letter) -> bool:
    return hasattr(letter, "void")


def gifts_of_year(year: int, supporter: Supporter | None = None) -> QuerySet[Gift]:
    """Gifts of a calendar year by the giver's day: the charge, the postmark, the day it was handed over."""
    rows = Gift.objects.filter(received_on__year=year, supporter__isnull=False)
    return rows.filter(supporter=supporter) if supporter else rows


def without_letter(gifts: QuerySet[Gift]) -> QuerySet[Gift]:
    return gifts.filter(~Exists(lettered().filter(gift=OuterRef("pk"))))


def supporters_to_write(year: int, after: int = 0) -> QuerySet[Supporter]:
    """Supporters with a gift of the year that no letter speaks of, in the order of a batch."""
    gifts = without_letter(gifts_of_year(year))
    return Supporter.objects.filter(erased_at=None, pk__gt=after, pk__in=gifts.values("supporter")).order_by(
        "pk"
    )


def letters() -> QuerySet[Letter]:
    return Letter.objects.select_related("supporter", "void", "written_by").annotate(gifts=Count("lines"))


def letter_by_number(number: int) -> Letter | None:
    links = ("supporter__merged_into", "void__voided_by", "written_by", "replaces", "replaced_by")
    return Letter.objects.select_related(*links).filter(number=number).first()


def lines_of(letter: Letter) -> QuerySet[LetterGift]:
    return (
        LetterGift.objects.filter(letter=letter).select_related("gift__supporter", "also_in").order_by("id")
    )


def to_withdraw() -> QuerySet[Letter]:
    """Letters not void that say what is no longer so.

    The money of a gift went back (or came back again) or its amount was put right after they were written, or the gift
    turned out to be of another supporter (a wrong merge taken apart).
    """
    touched = Gift.objects.filter(Q(returns__isnull=False) | Q(corrections__isnull=False))
    lines = LetterGift.objects.filter(LIVE)
    changed = (
        lines.filter(gift__in=touched)
        .annotate(back=Coalesce(Sum("gift__returns__amount"), 0, output_field=MoneyField()))
        .exclude(amount=F("gift__amount") - F("back"))
    )
    others = lines.exclude(gift__supporter=F("letter__supporter")).exclude(
        gift__supporter=F("letter__supporter__merged_into"), letter__supporter__merged_into__isnull=False
    )
    wrong = Q(pk__in=changed.values("letter")) | Q(pk__in=others.values("letter"))
    return letters().filter(wrong).order_by("number")


def waiting() -> list[tuple[Gift, GiftFacts]]:
    """Gifts of this year and the last for which the giver needs a letter by itself and has none, oldest first.

    Older ones are past the day on which a giver's return is due. At most the first ``LOOKED_AT`` gifts are looked at.
    """
    since = date(clock.today().year - 1, 1, 1)
    large = Gift.objects.filter(
        Q(amount__gte=NEEDS_LETTER) | Q(kind=GOODS) | Q(benefit__isnull=False),
        supporter__isnull=False,
        received_on__gte=since,
    )
    first = without_letter(large).order_by("received_on", "pk").values_list("pk", flat=True)[:LOOKED_AT]
    rows = gifts_with_facts(Gift.objects.filter(pk__in=list(first)))
    return [(gift, facts) for gift, facts in rows if facts.needs_letter and not why_left_out(facts)]


@dataclass(frozen=True, slots=True)
class Year:
    """The letters of a year: how many supporters wait for one, how many letters stand, and the batch under way."""

    year: int
    supporters: int
    standing: int
    money: Money
    batch: LetterBatch | None
    batches: list[LetterBatch]
    from_memory: bool
    waiting: list[Supporter]

    @property
    def parts(self) -> list[int]:
        """Numbers of the PDFs that hold the year's letters."""
        return list(range(1, -(-self.standing // IN_ONE_PDF) + 1))


def year_of_letters(year: int) -> Year:
    standing = Letter.objects.filter(year=year, void__isnull=True).aggregate(n=Count("pk"), sum=Sum("amount"))
    batches = list(LetterBatch.objects.filter(year=year).select_related("started_by"))
    running = next((batch for batch in batches if batch.ended_at is None), None)
    limits = limits_by_year().get(year)
    return Year(
        year,
        supporters_to_write(year).count(),
        standing["n"],
        standing["sum"] or Money.zero,
        running,
        batches,
        bool(limits and limits.from_memory),
        list(supporters_to_write(year)[:SHOWN]),
    )


def years_with_gifts() -> list[int]:
    return [day.year for day in Gift.objects.dates("received_on", "year", order="DESC")]


def letters_to_print(year: int) -> QuerySet[Letter]:
    """The letters of a year that stand, in the order of their numbers."""
    return Letter.objects.filter(year=year, void__isnull=True).order_by("number")


def letters_of_gifts(gifts: Iterable[Gift]) -> dict[int, list[int]]:
    """Numbers of the letters that stand, by the key of the gift they name."""
    found: dict[int, list[int]] = {}
    for row in lettered().filter(gift__in=[gift.pk for gift in gifts]).order_by("letter_id"):
        found.setdefault(row.gift_id, []).append(row.letter_id)
    return found
