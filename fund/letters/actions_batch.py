"""The letters of a year in one go, a few at a time: whoever drives it (page or command) sees how far it is."""

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.lock import hold_books
from fund.letters.actions import POWER, Plan, refuse_open_year, sender, write_plans
from fund.letters.models import Letter, LetterBatch
from fund.letters.queries import gifts_of_year, material, supporters_to_write
from fund.letters.rules_words import YEAR, words_of
from fund.refusal import AlreadyDone
from fund.trail.actions import record

AT_A_TIME = 50


@transaction.atomic
def start_batch(*, by: Person, year: int) -> LetterBatch:
    """Begin the letters of a year for every supporter who has a gift in it without a letter. Writes none yet.

    Refuses a year that is not over, a second batch of a year under way, and a year in which nobody waits.
    """
    require(by, POWER)
    refuse_open_year(year)
    hold_books()
    if LetterBatch.objects.filter(year=year, ended_at__isnull=True).exists():
        raise AlreadyDone(f"The letters of {year} are being written already.")
    many = supporters_to_write(year).count()
    if not many:
        raise AlreadyDone(f"Every gift of {year} with a name to it has its letter. Nothing was written.")
    batch = LetterBatch.objects.create(year=year, started_by=by, started_at=clock.now(), to_do=many)
    text = f"Letters of {year} begun for {many} supporters."
    record(by=by, action="letter.batch", subject=f"letters of {year}", text=text)
    return batch


@transaction.atomic
def go_on(*, by: Person, batch: LetterBatch, at_a_time: int = AT_A_TIME) -> list[Letter]:
    """Write the next few letters of a batch, all or none, and end it when nobody is left. Returns what was written.

    A supporter whose gifts all went back counts as done and gets none. Can be called again after any interruption:
    who has a letter is passed over.
    """
    require(by, POWER)
    hold_books()
    batch = LetterBatch.objects.get(pk=batch.pk)
    if batch.ended_at:
        return []
    supporters = list(supporters_to_write(batch.year, batch.last_supporter)[:at_a_time])
    mine = gifts_of_year(batch.year).filter(supporter__in=supporters)
    held, writer = material(mine, again=False), sender(by, clock.today())
    plans = [
        Plan(YEAR, batch.year, supporter, one, words_of(YEAR, one.facts, writer, batch.year, one.earlier))
        for supporter in supporters
        if (one := held[supporter.pk]).named
    ]
    letters = write_plans(by, plans, batch)
    batch.done += len(supporters)
    batch.written += len(letters)
    if supporters:
        batch.last_supporter = supporters[-1].pk
    if len(supporters) < at_a_time:
        batch.ended_at = clock.now()
    batch.to_do = max(batch.to_do, batch.done)
    batch.save(update_fields=["done", "written", "last_supporter", "ended_at", "to_do"])
    return letters
