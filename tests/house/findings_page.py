"""The sentences of docs/reference/findings.md.

Headings and what stands under them besides the sentence stay; a new code stands at the end of its module's section,
or in a new one of its question, and a heading without a code is taken away.
"""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

from compat import texts
from compat.asking import rooms

REFUSALS = "## Refusals"
OF_REFUSALS = """Codes in `errors[].code` of a 400 `invalid`: the input is none that a question can take, so there is no
answer and no finding. `errors[].field` names the field."""
PAGE = Path(__file__).parents[2] / "docs" / "reference" / "findings.md"


def rewritten(page: str) -> str:
    """The page with the sentence of every code as `compat/texts` has it."""
    head, *sections = re.split(r"(?m)^(?=## )", page)
    known = {code for section in sections for code in re.findall(r"(?m)^### `([a-z0-9_]+)`", section)}
    tables = [module.TEXTS for module in texts.modules() if hasattr(module, "TEXTS")]
    for table in tables:
        homes = [at for at, one in enumerate(sections) if any(f"### `{code}`" in one for code in table)]
        new = [code for code in table if code not in known]
        if new and homes:
            most = max(homes, key=lambda at: sum(f"### `{code}`" in sections[at] for code in table))
            sections[most] = sections[most].rstrip("\n") + "".join(f"\n\n### `{code}`\n\n-\n" for code in new) + "\n"
            known.update(new)
    sections = [one for one in sections if not one.startswith(REFUSALS)]
    for words in rooms.texts():
        if new := [code for code in getattr(words, "TEXTS", {}) if code not in known]:
            room = words.__name__.split(".")[-2].replace("_", " ").capitalize()
            sections.append(f"## {room}\n" + "".join(f"\n### `{code}`\n\n-\n" for code in new) + "\n")
            known.update(new)
    return head + "".join(_section(one) for one in sections) + _refusals()


def _refusals() -> str:
    """The last section, all of it from the tables."""
    entries = [f"### `{code}`\n\n{_filled(text)}\n" for code, text in texts.REFUSALS.items()]
    return f"\n{REFUSALS}\n\n{_filled(OF_REFUSALS)}\n\n" + "\n".join(entries)


def _filled(text: str) -> str:
    return textwrap.fill(" ".join(text.split()), 120, break_long_words=False, break_on_hyphens=False)


def _section(section: str) -> str:
    top, *entries = re.split(r"(?m)^(?=### )", section)
    kept = []
    for entry in entries:
        heading, _, body = entry.partition("\n\n")
        code = heading.removeprefix("### ").strip("`")
        if code not in texts.TEXTS:
            continue
        _, _, rest = body.rstrip("\n").partition("\n\n")
        said = _filled(texts.TEXTS[code])
        kept.append(f"{heading}\n\n{said}\n" + (f"\n{rest}\n" if rest else ""))
    return top.rstrip("\n") + "\n\n" + "\n".join(kept) + "\n"
