"""The settings of the program with what makes tests quick and keeps them off anybody's real books."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

os.environ.setdefault("DEBUG", "true")
os.environ.setdefault("DATABASE_URL", "sqlite:///:memory:")

from config.settings import *  # noqa: F403
from config.settings import DATABASES

MEDIA_ROOT = Path(tempfile.mkdtemp(prefix="mendbook-test-media-"))
atexit.register(shutil.rmtree, MEDIA_ROOT, ignore_errors=True)
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AXES_ENABLED = False
STATIC_ROOT = None  # type: ignore[assignment]  # nothing is collected for tests; the files lie where they are
DATABASES["default"]["CONN_MAX_AGE"] = 0
