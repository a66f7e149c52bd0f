"""What is looked up and written at the desk about a vehicle: open recalls, and owners who do not come."""

from datetime import date

# Before anything is paid for: the maker pays for a recall at its dealers, and nobody else may do it for the maker.
FOUND = {
    "none": "No open recall",
    "other": "Open, but not about this fault",
    "covers": "Open, and it covers this fault",
    "dealer cannot": "Covers this fault, but the dealer cannot do it in time",
    "no number": "No VIN to look it up by",
}
WAYS = {
    "letter": "Letter",
    "certified letter": "Certified letter",
    "phone": "Phone call",
    "message": "Text message",
    "e-mail": "E-mail",
    "in person": "In person",
}
LOCAL_LAW = (
    "What notice is due, after how many days, and what may become of a vehicle that nobody fetches is for the law of "
    "the state. The crew never sells, strips or scraps one on its own. What was spent stays the cost of the repair."
)


def recall_sentence(found: str, on: date, where: str) -> str:
    """The last look in one line."""
    return f"{FOUND[found]}: looked up on {on} at {where}."


def days_standing(since: date | None, today: date) -> int:
    """Whole days since the vehicle could have been fetched; zero while it is being worked on."""
    return max((today - since).days, 0) if since else 0
