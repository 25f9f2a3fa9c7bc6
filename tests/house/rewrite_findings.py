"""Rewrites the sentences of docs/reference/findings.md: `.venv/bin/python -m tests.house.rewrite_findings`."""

from __future__ import annotations

import os

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.typing_settings")
    import django

    django.setup()
    from tests.house.findings_page import PAGE, rewritten

    PAGE.write_text(rewritten(PAGE.read_text()).rstrip("\n") + "\n")
    print(f"{PAGE} is rewritten; look at its diff")
