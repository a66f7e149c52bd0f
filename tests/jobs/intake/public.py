"""What a household types on the public form, page by page."""

from jobs.intake.actions_draft import begin_draft, hash_of, keep_page
from jobs.intake.actions_public import public_request
from jobs.intake.models_draft import Draft
from jobs.intake.pages import PAGES, request_of
from jobs.intake.rules import QUESTIONS

YES_TO_ALL = {f"ask_{key.replace(' ', '_')}": "yes" for key in QUESTIONS}


def rows(prefix: str, *filled: dict[str, str]) -> dict[str, str]:
    typed = {f"{prefix}-TOTAL_FORMS": str(len(filled)), f"{prefix}-INITIAL_FORMS": "0"}
    for place, row in enumerate(filled):
        typed |= {f"{prefix}-{place}-{name}": value for name, value in row.items()}
    return typed


TYPED: dict[str, dict[str, str]] = {
    "questions": YES_TO_ALL,
    "you": {
        "name": "Wilhelmina Quarrender",
        "birth_date": "1988-04-02",
        "phone": "212 555 0142",
        "best_time": "after six",
        "email": "",
        "address": "19 Cooper's Row, Larkwater",
        "referral": "",
    },
    "home": rows("people", {"name": "Ottoline Quarrender", "relation": "child", "birth_year": "2015"}),
    "money": rows(
        "incomes", {"member": "1", "kind": "pay", "amount": "548.00", "period": "two weeks", "hours": ""}
    )
    | {"program": "", "no_income_words": ""},
    "vehicle": {
        "vehicle_class": "compact car",
        "vehicle_year": "2011",
        "vehicle_words": "Halden Two",
        "plate": "LRK 2040",
        "vin": "",
        "mileage": "148000",
        "registered_on": "2019-05-01",
        "drivable": "unsafe",
    },
    "trouble": {
        "complaint": "Grinds when I brake.",
        "need": "work",
        "need_words": "I lose the night shift.",
        "other_way": "hard",
    },
    "yes": {"yes_data": "on", "yes_work": "on", "yes_road_test": "on"},
}


def draft_with(typed: dict[str, dict[str, str]], language: str = "en") -> tuple[Draft, str]:
    """A draft with these pages filled in."""
    first, *others = typed
    draft, secret = begin_draft(language=language, page=first, typed=typed[first])
    for key in others:
        draft = keep_page(draft=draft, page=key, typed=typed[key], done=True)
    return draft, secret


def sent_by_form(name: str = "Wilhelmina Quarrender", language: str = "en", **changes: dict[str, str]) -> str:
    """A request sent by the public form, and the secret of its link. ``changes`` are boxes by page."""
    typed = {key: TYPED[key] | changes.get(key, {}) for key in PAGES}
    typed["you"] |= {"name": name}
    draft, secret = draft_with(typed, language)
    asked = request_of(draft.told)
    public_request(draft=draft, asking=asked.asking, members=asked.members, incomes=asked.incomes)
    return secret


def draft_of(secret: str) -> Draft:
    return Draft.objects.select_related("application__household").get(secret_hash=hash_of(secret))
