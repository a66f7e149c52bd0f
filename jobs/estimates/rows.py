from collections.abc import Iterable

from fund.forms import BookForm


def wrong_lines(numbered: Iterable[tuple[int, BookForm]]) -> list[str]:
    """Each thing wrong with a row, with the number of its row and the name of its box."""
    return [
        f"Line {place}, {str(form.fields[name].label).lower()}: {error}"
        for place, form in numbered
        for name, errors in form.errors.items()
        for error in errors
    ]
