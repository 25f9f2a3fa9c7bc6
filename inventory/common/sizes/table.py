"""What the reader of sizes understands, as data: the help of the pages and the reference are made from it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Example:
    """One way to type something: the text, how it is read first, and what is worth knowing of it."""

    text: str
    first: str
    note: str = ""
    others: int = 0  # further ways to read it


UNDERSTOOD: tuple[Example, ...] = (
    Example("34x0.15", "shim, outside 34 mm, thickness 0.15 mm", "outer diameter, then thickness", 1),
    Example("Ø34 × 0,15 mm", "shim, outside 34 mm, thickness 0.15 mm", "a comma, signs and units", 1),
    Example("34x0.15 x3", "shim, outside 34 mm, thickness 0.15 mm, 3 pieces", "how many: x3 behind a blank", 1),
    Example("3 pcs 34 x 0.15", "shim, outside 34 mm, thickness 0.15 mm, 3 pieces", "or in front", 1),
    Example(
        "34x0.15x12",
        "shim, outside 34 mm, thickness 0.15 mm, bore 12 mm",
        "a third number may be the bore or how many: both are named",
        1,
    ),
    Example("34x0.15x12 x3 notched", "shim, outside 34 mm, thickness 0.15 mm, bore 12 mm, notched, 3 pieces"),
    Example("shims 34 x 6 thou", "shim, outside 34 mm, thickness 0.152 mm", "thousandths of an inch", 1),
    Example("o-ring 44x3.5", "O-ring, inside 44 mm, section 3.5 mm", "inside or outside: both are named", 1),
    Example("44 x 3.5 ring", "O-ring, inside 44 mm, section 3.5 mm", "an O-ring, or a shim in ring form", 4),
    Example("o-rings id 37.7 ±0.1, section 3.5", "O-ring, inside 37.7 ±0.1 mm, section 3.5 mm", "an error, names"),
    Example("ring about 44 x 3.5", "O-ring, inside about 44 mm, section about 3.5 mm", "1 %, at least 0.2 mm", 1),
    Example("ring 37.5..37.9 x 3.5", "O-ring, inside 37.7 ±0.2 mm, section 3.5 mm", "limits", 1),
    Example("1.75 x 0.139 in ring", "O-ring, inside 44.45 mm, section 3.531 mm", "a unit at the end holds for all", 4),
    Example("ring 1 3/4 in x 1/8 in", "O-ring, inside 44.45 mm, section 3.175 mm", "inches as fractions", 1),
    Example("222", "O-ring, size 222 of AS568", "three digits alone: also a length", 4),
    Example("222 NBR", "O-ring, size 222 of AS568, NBR", "the rubber makes it a ring"),
    Example("222 NBR 70 x3", "O-ring, size 222 of AS568, NBR 70, 3 pieces", "with the hardness, how many", 2),
    Example("-222", "O-ring, size 222 of AS568", "a dash number"),
    Example("2-222", "O-ring, size 222 of AS568"),
    Example("AS568-222", "O-ring, size 222 of AS568"),
    Example("M12x1,25", "nut, thread M12x1.25"),
    Example("nut M12 x 1.25 LH", "nut, thread M12x1.25, left-hand thread"),
    Example("M12", "nut, thread M12", "leaves the pitch open"),
    Example("1/2-20 UNF", "nut, thread 1/2-20 UNF"),
    Example("12x1.25", "shim, outside 12 mm, thickness 1.25 mm", "without its M a thread is one of many ways", 17),
    Example("nut 19 across flats, 1.25", "nut, across flats 19 mm, pitch 1.25 mm", "flats, pitch by gauge"),
    Example('nut 3/4" AF, 20 tpi, bore 11.4', "nut, bore 11.4 mm, across flats 19.05 mm, pitch 1.27 mm"),
    Example("washer 24x12x2.5", "washer, outside 24 mm, inside 12 mm, height 2.5 mm"),
    Example("bore 12, od 24, 2.5 high", "shim, outside 24 mm, bore 12 mm, thickness 2.5 mm", "any part, by names", 4),
    Example("piston 46x12x12", "piston, outside 46 mm, bore 12 mm, height 12 mm"),
    Example("band 46x9.8x1.5", "band, for a bore of 46 mm, width 9.8 mm, thickness 1.5 mm", others=1),
    Example("seal head shaft 12, body 46", "seal head, for a body of 46 mm, for a shaft of 12 mm"),
    Example("bush 12x14x10", "bush, inside 12 mm, outside 14 mm, length 10 mm"),
    Example(
        "SH-12-34-150",
        "the number of a part, a lot, a drawer, a delivery or a job",
        "looked up by Find and Take in",
    ),
    Example("D-10-03", "the number of a part, a lot, a drawer, a delivery or a job"),
)
