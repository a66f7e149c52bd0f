"""Writes the tables of powers and rules into DEVELOPERS.md from the code; the rest of the page is written by hand."""

import os
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
GUIDE = TOP / "DEVELOPERS.md"


def main() -> None:
    sys.path.insert(0, str(TOP))
    os.environ.setdefault("DEBUG", "true")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from fund.access.powers import POWERS
    from fund.rulebook.rules import RULES

    powers = [f"| `{power.name}` {power.words} | {', '.join(power.roles)} |" for power in POWERS.values()]
    rules = [f"| `{rule.name}` | {rule.start} | {rule.words} |" for rule in RULES.values()]
    text = GUIDE.read_text()
    text = with_rows(text, "| power | roles |\n|---|---|\n", powers)
    text = with_rows(text, "| rule | starts as | means |\n|---|---|---|\n", rules)
    GUIDE.write_text(text)


def with_rows(text: str, head: str, rows: list[str]) -> str:
    """The text with the rows of the table below ``head`` replaced."""
    before, after = text.split(head)
    lines = after.splitlines(keepends=True)
    end = next(at for at, line in enumerate(lines) if not line.startswith("|"))
    return before + head + "".join(f"{row}\n" for row in rows) + "".join(lines[end:])


if __name__ == "__main__":
    main()
