"""Make each app's 0001_initial.py anew from its models, until the first release freezes them.

The work is done in a copy of the tree, so that a program that runs here meanwhile never sees half of it.
The guards (0002 and later) are written by hand and stay as they are.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
APPS = ("fund", "jobs", "reports")


def main() -> int:
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch)
        for name in ("config", *APPS, "templates"):
            shutil.copytree(TOP / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(TOP / "manage.py", copy / "manage.py")
        for app in APPS:
            for old in (copy / app / "migrations").glob("0*.py"):
                old.unlink()
        command = [sys.executable, "manage.py", "makemigrations", *APPS, "--name", "initial", "--no-header"]
        environment = os.environ | {"DEBUG": "true", "DATABASE_URL": "sqlite:///:memory:"}
        if subprocess.run(command, cwd=copy, env=environment, check=False).returncode:
            return 1
        for app in APPS:
            made = sorted((copy / app / "migrations").glob("0*.py"))
            if [file.name for file in made] not in ([], ["0001_initial.py"]):
                print(
                    f"{app}: one file was expected, Django made {[file.name for file in made]}.",
                    file=sys.stderr,
                )
                return 1
            for file in made:
                replace(TOP / app / "migrations" / file.name, whole(file.read_text()).encode())
    return 0


def whole(text: str) -> str:
    """The migration with all its operations inside one WholeSchema."""
    head, mark, rest = text.partition("    operations = [\n")
    body, end, tail = rest.rpartition("    ]\n")
    imports = "from django.db import migrations, models\n"
    if not (mark and end) or tail.strip() or imports not in head:
        raise SystemExit("The generated migration looks different from what is expected.")
    head = head.replace(imports, f"{imports}\nfrom fund.wholeschema import WholeSchema\n")
    return f"{head}{mark}        WholeSchema([\n{body}        ]),\n{end}"


def replace(target: Path, content: bytes) -> None:
    """Swap a file in one step, and only if it differs."""
    if target.exists() and target.read_bytes() == content:
        return
    beside = target.with_suffix(".new")
    beside.write_bytes(content)
    beside.replace(target)
    print(f"wrote {target.relative_to(TOP)}")


if __name__ == "__main__":
    sys.exit(main())
