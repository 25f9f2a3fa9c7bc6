"""Writes docs/reference/sizes.md from the table of what the reader of sizes understands."""

from __future__ import annotations

from pathlib import Path

from inventory.common.sizes.echo import heard
from inventory.common.sizes.table import UNDERSTOOD

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "sizes.md"
HEAD = """# Sizes as they are typed

One reader takes the words of Find, of the part in Take in, of the bench's diameter, of the search by size and of its
API (`text`). Every place reads the same words the same way and says back how it read them; the API as `read_as`. Where
words may be read in more than one way, each way is named and none is chosen in silence: a list shows the parts of
each, Take in and the bench ask.

- Lengths are in millimetres. A decimal comma and a decimal point are the same; `x`, `×`, `*`, `/`, `;` and a blank
  stand between sizes; a diameter sign may stand anywhere.
- `in` at the end holds for every number before it that has no unit; `"`, `mm` and `thou` hold for their own number. A
  fraction, `3/4` or `1 3/4`, is in inches. A box for one length takes millimetres only.
- `±0.1` says how far the readings since the last one may be off; `about`, `micrometer` and `ruler` hold for all.
- `x3` behind a blank, `3 pcs`, `3 off` and `qty 3` say how many. A third number may be the bore of a shim or how many;
  under 6 it is how many.
- Three digits alone may be a dash number of AS568 or a length. With a rubber (NBR, HNBR, FKM, EPDM, VMQ, PU) or a
  hyphen they are a dash number.
- Letters with a hyphen and digits are the number of a part, a lot, a drawer, a delivery or a job.
- The bench reads shims only, so that other ways to read the words do not count there.

| typed | read as | other ways | note |
|---|---|---|---|
"""


def page() -> str:
    """The whole page."""
    rows = []
    for one in UNDERSTOOD:
        first, *others = heard(one.text)
        told = "; ".join(others[:2]) + (f"; {len(others) - 2} more" if len(others) > 2 else "")
        rows.append(f"| `{one.text}` | {first} | {told} | {one.note} |\n")
    return HEAD + "".join(rows)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
