"""What is asked of a store about its statement, and how the question ended. Nothing is booked by either."""

from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.ledger.lock import hold_books
from fund.money import Money
from fund.numbers import next_code
from fund.receipts.models import Supplier
from fund.receipts.models_returns import StatementQuestion
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record


@transaction.atomic
def ask_store(
    *, by: Person, supplier: Supplier, on: date, said: Money, papers: Money, text: str
) -> StatementQuestion:
    """Keep what is unexplained in a statement of a day. Refuses a statement that is the papers, and one still to come."""
    require(by, "bill.pay")
    if said == papers:
        raise BadInput("The statement is what the papers add up to. There is nothing to ask.")
    if on > clock.today():
        raise BadInput(f"A statement of {on} is still to come.")
    hold_books()
    question = StatementQuestion.objects.create(
        code=next_code(StatementQuestion, "code", "Q-"), store=supplier, on=on, said=said, papers=papers,
        text=text.strip()[:600], asked_by=by, asked_on=clock.today(),
    )  # fmt: skip
    told = f"{question.code}: {supplier} says {said}, the papers {papers}; {abs(said - papers)} asked about."
    record(by=by, action="statement.ask", subject=supplier.name, text=told)
    return question


@transaction.atomic
def answer_question(*, by: Person, question: StatementQuestion, answer: str) -> StatementQuestion:
    """Write down what the store answered. Refuses an answer of no words, and one given before."""
    require(by, "bill.pay")
    hold_books()
    question = StatementQuestion.objects.select_related("store").get(pk=question.pk)
    if question.answered_on:
        raise AlreadyDone(f"{question.code} was answered on {question.answered_on}.")
    if not answer.strip():
        raise BadInput("Say in a few words what the store answered.")
    question.answer, question.answered_on, question.answered_by = answer.strip()[:300], clock.today(), by
    question.save(update_fields=["answer", "answered_on", "answered_by"])
    record(
        by=by,
        action="statement.answer",
        subject=question.store.name,
        text=f"{question.code}: {question.answer}",
    )
    return question
