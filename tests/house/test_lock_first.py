"""Law: what an action finds in the books is still so when it writes. So it takes the books lock before it looks.

On PostgreSQL a look before the lock sees what is committed then; whoever held the lock commits meanwhile, and both pass.
"""

import ast
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
ROOMS = ("fund/gifts", "fund/repayments", "fund/bank")
LOOKS = (".objects.", "check_hand(", "next_code(", "balance(")
NEEDS_NONE = {
    "end_hold": "locks the row of the hold",
    "end_pledge": "locks the row of the pledge",
    "record_pledge": "writes one row, and nothing stands in its way",
    "keep_file": "one row of its own digest, made or found",
    "keep_sample": "writes one row, and nothing stands in its way",
    "drop_sample": "deletes one row that is not in the books",
    "drop_upload": "deletes one row that is not in the books",
    "preview": "nothing of it stays; the import looks again under the lock",
    "keep_upload": "kept for a preview; the import looks again under the lock",
    "take_upload": "import_statement holds the books",
    "set_platform_balance": "adds a row; the latest counts",
    "import_platform_balance": "adds a row; the latest counts",
    "bank/save_layout": "one row of its own name, made or replaced",
    "repay_loan": "_move holds the books before it looks",
    "forgive_loan": "_move holds the books before it looks",
    "post_missing": "split holds the books before it looks",
}


def _actions() -> list[tuple[str, ast.FunctionDef]]:
    found = []
    for room in ROOMS:
        for file in sorted((TOP / room).glob("actions*.py")):
            for node in ast.parse(file.read_text()).body:
                if isinstance(node, ast.FunctionDef) and "atomic" in " ".join(
                    ast.unparse(one) for one in node.decorator_list
                ):
                    found.append((f"{room.removeprefix('fund/')}/{node.name}", node))
    return found


def _looked_before_the_lock(action: ast.FunctionDef) -> str:
    for statement in action.body:
        text = ast.unparse(statement)
        if text == "hold_books()":
            return ""
        if any(look in text for look in LOOKS):
            return f"looks first: {text}"
    return "never holds the books"


@pytest.mark.parametrize(("name", "action"), _actions(), ids=lambda one: one if isinstance(one, str) else "")
def test_an_action_holds_the_books_before_it_looks(name: str, action: ast.FunctionDef) -> None:
    if name in NEEDS_NONE or name.rsplit("/", 1)[-1] in NEEDS_NONE:
        return
    assert _looked_before_the_lock(action) == ""


def test_a_look_before_the_lock_is_seen() -> None:
    late = ast.parse("def act():\n    if Gift.objects.exists():\n        pass\n    hold_books()").body[0]
    assert isinstance(late, ast.FunctionDef)
    assert _looked_before_the_lock(late).startswith("looks first")


def test_every_exception_from_the_law_is_an_action() -> None:
    names = {name for name, _ in _actions()}
    assert not {one for one in NEEDS_NONE if not any(name.endswith(one) for name in names)}
