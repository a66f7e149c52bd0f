"""Brings jobs/locale up to date: every text that can be shown in another language, and the compiled catalogs.

``python .ci/translations.py`` (or ``make translations``). What is new stands in the .po file with an empty
translation; what is no longer used is dropped.
"""

import importlib
import io
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
CATALOG = TOP / "jobs" / "locale" / "es" / "LC_MESSAGES" / "django.po"
CODE = ("jobs/intake/*.py",)
PAGES = (
    "templates/base_asking.html",
    "templates/partials/field.html",
    "templates/jobs/intake/ask_*.html",
    "templates/reports/public/ask_for_help.html",
)
# Words that rules hold as data and the pages translate as they show them.
DATA = {
    "jobs.intake.rules": "QUESTIONS ANSWERS CONSENTS NEEDS DRIVABLE OTHER_WAYS BELONGS",
    "jobs.intake.words": "NO_MEANS",
    "jobs.intake.forms_parts": "TOLD_PERIODS",
    "jobs.households.rules": "RELATIONS KINDS PROGRAMS",
}
KEYWORDS = dict.fromkeys(("_", "gettext", "gettext_lazy", "said"))
FIXED = datetime(2026, 1, 1, tzinfo=UTC)  # so that the same texts give the same file


def texts() -> dict[str, list[str]]:
    """Every text with the files it stands in."""
    from babel.messages.extract import extract
    from django.utils.translation.template import templatize

    found: dict[str, list[str]] = {}
    sources = [(path, path.read_text(encoding="utf-8")) for where in CODE for path in sorted(TOP.glob(where))]
    for where in PAGES:
        for path in sorted(TOP.glob(where)):
            sources.append((path, templatize(path.read_text(encoding="utf-8"), origin=str(path))))
    for path, code in sources:
        for _line, message, _comments, _context in extract(
            "python", io.BytesIO(code.encode()), KEYWORDS, options={"encoding": "utf-8"}
        ):
            text = message if isinstance(message, str) else message[0]
            if text:
                found.setdefault(text, []).append(str(path.relative_to(TOP)))
    for module, names in DATA.items():
        for name in names.split():
            for text in getattr(importlib.import_module(module), name).values():
                found.setdefault(text, []).append(f"{module.replace('.', '/')}.py")
    from jobs.intake.rules import CLASSES

    for text in CLASSES:
        found.setdefault(text, []).append("jobs/intake/rules.py")
    return found


def merged(old: "Catalog | None") -> "Catalog":  # type: ignore[name-defined]  # noqa: F821
    """The catalog of all texts, with the translations that there are."""
    from babel.messages.catalog import Catalog

    catalog = Catalog(
        locale="es",
        project="Mendbook",
        version="1",
        creation_date=FIXED,
        revision_date=FIXED,
        fuzzy=False,
        header_comment="# Spanish of the pages for whoever asks for help. New texts: make translations",
        last_translator="the crew",
        language_team="es",
        msgid_bugs_address="",
    )
    for text, files in sorted(texts().items()):
        before = old.get(text) if old else None
        catalog.add(
            text,
            before.string if before else "",
            locations=[(file, None) for file in sorted(set(files))],
            flags={"python-format"} & (before.flags if before else set()),
        )
    return catalog


def main() -> None:
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po, write_po

    old = read_po(io.BytesIO(CATALOG.read_bytes()), locale="es") if CATALOG.exists() else None
    catalog = merged(old)
    with CATALOG.open("wb") as file:
        write_po(file, catalog, width=110, include_lineno=False, sort_output=True)
    with CATALOG.with_suffix(".mo").open("wb") as file:
        write_mo(file, catalog)
    missing = [message.id for message in catalog if message.id and not message.string]
    print(f"{len(catalog)} texts, {len(missing)} without a translation")
    for text in missing:
        print(f"  {text}")


if __name__ == "__main__":
    sys.path.insert(0, str(TOP))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    os.environ.setdefault("DEBUG", "true")
    os.environ.setdefault("DATABASE_URL", "sqlite:///:memory:")
    import django

    django.setup()
    main()
