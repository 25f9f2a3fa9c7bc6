"""Rewrites the tables of fields in docs/reference/questions: `.venv/bin/python -m tests.house.rewrite_questions`."""

from __future__ import annotations

import os

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.typing_settings")
    import django

    django.setup()
    from tests.house.question_pages import pages

    for page, text in pages().items():
        page.write_text(text)
        print(f"{page} is rewritten; look at its diff")
