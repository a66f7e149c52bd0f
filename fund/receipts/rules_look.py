"""Which receipts are worth a second look, and why, in a sentence that asks and accuses nobody. Pure.

The signs are those an auditor reads for; from where on each is told is common practice and has no source. Every one of
them has innocent reasons, which is why somebody else writes the reason down and nothing is stopped.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from typing import TypeVar

from fund.money import total
from fund.receipts.homes import OWN_POCKET
from fund.receipts.rules_counter import says_nothing
from fund.receipts.rules_look_rows import Limit, Look, OldUnit, Paper, Words, binds, key_of

T = TypeVar("T")
RUN, RUN_DAYS = 3, 30  # so many just under a limit within so many days
YEAR = timedelta(days=365)
CORES_LATE, CORE_VERY_LATE = 2, 30  # so many past their day, or one by so many days
NAMED = 6  # papers a sentence names; the page shows all


def under_limits(papers: Iterable[Paper], limits: Sequence[Limit]) -> list[Look]:
    """Three or more of one person within 30 days, each at most 10 percent below the limit of its day."""
    found: dict[tuple[int, str], list[tuple[Paper, Limit]]] = defaultdict(list)
    for paper in papers:
        for limit in limits:
            if limit.near(paper.total, paper.on) and binds(limit.name, paper.missing, paper.decides):
                found[paper.buyer, limit.name].append((paper, limit))
    looks = []
    for (_, name), pairs in found.items():
        for run in _runs(pairs, RUN, timedelta(days=RUN_DAYS), lambda pair: pair[0].on):
            mine = [paper for paper, _ in run]
            values = " and ".join(sorted({str(limit.value) for _, limit in run}))
            sums = ", ".join(str(paper.total) for paper in mine[:NAMED])
            sentence = (
                f"{len(mine)} receipts of {mine[0].name}, from {mine[0].on} to {mine[-1].on}, are just under {values}"
                f" (“{run[0][1].words}”): {sums}{_and_more(len(mine))}."
            )
            looks.append(_look("limit", mine, sentence, "Were these purchases of their own?", name))
    return looks


def following(papers: Iterable[Paper]) -> list[Look]:
    """Receipts of one store whose numbers follow one another without a gap, brought by more than one person."""
    rolls: dict[tuple[str, str], dict[int, list[Paper]]] = defaultdict(lambda: defaultdict(list))
    for paper in papers:
        if paper.serial is not None:
            rolls[paper.store, paper.series][paper.serial].append(paper)
    looks = []
    for roll in rolls.values():
        for serial in sorted(roll):
            if serial - 1 in roll:
                continue
            chain = []
            while serial in roll:
                chain += sorted(roll[serial], key=lambda paper: paper.code)
                serial += 1
            if len({paper.buyer for paper in chain}) > 1 and chain[0].serial != chain[-1].serial:
                who = "; ".join(f"{paper.number} by {paper.name}, {paper.code}" for paper in chain[:NAMED])
                sentence = (
                    f"Receipts of {chain[0].store} with numbers that follow one another were brought by different"
                    f" people: {who}{_and_more(len(chain))}."
                )
                looks.append(_look("numbers", chain, sentence, "Were they at the counter together?"))
    return looks


def saying_nothing(lines: Iterable[Words]) -> list[Look]:
    """Receipts with lines that do not tell what was bought; one question for each receipt."""
    papers: dict[str, list[Words]] = defaultdict(list)
    for line in lines:
        if says_nothing(line.text):
            papers[line.code].append(line)
    looks = []
    for code, rows in papers.items():
        first = rows[0]
        quoted = ", ".join(f"“{row.text}” for {row.amount}" for row in rows[:NAMED])
        sentence = f"{code} of {first.on}, {first.store}, brought by {first.name}, says only {quoted}{_and_more(len(rows))}."
        looks.append(
            Look(
                "words", key_of("words", [code]), first.on, sentence, "What was bought?", (code,),
                frozenset({first.buyer}), first.name, total(row.amount for row in rows),
            )
        )  # fmt: skip
    return looks


def without_paper(papers: Iterable[Paper], allowed: Callable[[date], int]) -> list[Look]:
    """More purchases without a receipt by one person within twelve months than the rule allows for a quarter.

    ``allowed`` gives the rule's number on a day. Whoever approved them is concerned too.
    """
    people: dict[int, list[Paper]] = defaultdict(list)
    for paper in papers:
        if paper.missing:
            people[paper.buyer].append(paper)
    looks = []
    for mine in people.values():
        most = allowed(max(paper.on for paper in mine))
        for run in _runs(mine, most + 1, YEAR, lambda paper: paper.on):
            sum_ = total(paper.total for paper in run)
            sentence = (
                f"{run[0].name} brought {len(run)} purchases without a receipt from {run[0].on} to {run[-1].on},"
                f" {sum_} together; {most} in a quarter is the most."
            )
            looks.append(_look("missing", run, sentence, "What became of the papers?"))
    return looks


def same_amounts(papers: Iterable[Paper]) -> list[Look]:
    """The same total at the same store on the same day, on two papers or more."""
    groups: dict[tuple[str, date, int], list[Paper]] = defaultdict(list)
    for paper in papers:
        groups[paper.store, paper.on, paper.total.minor].append(paper)
    looks = []
    for (store, on, _), mine in groups.items():
        if len(mine) < 2:
            continue
        mine.sort(key=lambda paper: paper.code)
        who = "; ".join(
            f"{paper.code} by {paper.name}, {f'number {paper.number}' if paper.number else 'without a number'}"
            for paper in mine[:NAMED]
        )
        said = "".join(f" At entry it was said: “{paper.said}”." for paper in mine[:NAMED] if paper.said)
        sentence = f"{mine[0].total} was paid {len(mine)} times at {store} on {on}: {who}{_and_more(len(mine))}.{said}"
        looks.append(_look("twice", mine, sentence, "Were they purchases of their own?"))
    return looks


def one_card(papers: Iterable[Paper]) -> list[Look]:
    """The same last four figures of a card on receipts said to be paid by the fund's card and by somebody's own."""
    cards: dict[str, list[Paper]] = defaultdict(list)
    for paper in papers:
        if paper.last4 and (paper.tender == "fund_card" or paper.tender in OWN_POCKET):
            cards[paper.last4].append(paper)
    looks = []
    for last4, mine in cards.items():
        funds = sorted(paper.code for paper in mine if paper.tender == "fund_card")
        own = sorted(
            (paper for paper in mine if paper.tender != "fund_card"), key=lambda paper: (paper.on, paper.code)
        )
        if not funds or not own:
            continue
        sentence = (
            f"A card ending {last4} is called the fund's on {_some(funds)}, and somebody's own on"
            f" {_some([f'{paper.code} ({paper.name})' for paper in own])}."
        )
        looks.append(_look("card", mine, sentence, "Whose card is it?", people=own))
    return looks


def old_units(units: Iterable[OldUnit], today: date) -> list[Look]:
    """Old units past the day the store set, by who bought: two or more, or one by more than 30 days."""
    people: dict[int, list[OldUnit]] = defaultdict(list)
    for unit in units:
        if unit.due_on < today:
            people[unit.buyer].append(unit)
    looks = []
    for mine in people.values():
        mine.sort(key=lambda unit: (unit.due_on, unit.code))
        if len(mine) < CORES_LATE and (today - mine[0].due_on).days <= CORE_VERY_LATE:
            continue
        sum_, name = total(unit.amount for unit in mine), mine[0].name
        units_ = "old unit is" if len(mine) == 1 else "old units are"
        told = "; ".join(f"{unit.code} {unit.item}, {unit.store}, due {unit.due_on}" for unit in mine[:NAMED])
        sentence = (
            f"{len(mine)} {units_} past the day the store set, {sum_} in deposits, bought by {name}:"
            f" {told}{_and_more(len(mine))}."
        )
        codes = tuple(unit.code for unit in mine)
        looks.append(
            Look(
                "cores", key_of("cores", codes), mine[-1].due_on, sentence, "Where are they, or the money for them?",
                codes, frozenset({mine[0].buyer}), name, sum_,
            )
        )  # fmt: skip
    return looks


def _look(
    kind: str, papers: Sequence[Paper], sentence: str, asks: str, more: str = "", people: Sequence[Paper] = ()
) -> Look:
    of = people or papers
    concerned = {paper.buyer for paper in of}
    if kind == "missing":
        concerned |= {paper.approved_by for paper in of if paper.approved_by}
    codes = tuple(paper.code for paper in papers)
    names = ", ".join(sorted({paper.name for paper in of}))
    last = max(paper.on for paper in papers)
    sum_ = total(paper.total for paper in papers)
    return Look(
        kind, key_of(kind, codes, more), last, sentence, asks, codes, frozenset(concerned), names, sum_
    )


def _runs(rows: Iterable[T], least: int, within: timedelta, day: Callable[[T], date]) -> list[list[T]]:
    """Longest stretches in which every row stands with ``least - 1`` others in some span of ``within``, both ends in it."""
    ordered = sorted(rows, key=day)
    runs: list[list[T]] = []
    end = 0  # behind the last row taken
    for start in range(len(ordered) - least + 1):
        stop = start + least
        if day(ordered[stop - 1]) - day(ordered[start]) > within:
            continue
        if runs and start < end:
            runs[-1] += ordered[end:stop]
        else:
            runs.append(ordered[start:stop])
        end = max(end, stop)
    return runs


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:NAMED]) + _and_more(len(names))


def _and_more(count: int) -> str:
    return f" and {count - NAMED} more" if count > NAMED else ""
