"""The words by which people name parts and sizes, as patterns; longer ones first, since they contain shorter ones.
Between words stands one blank."""

from __future__ import annotations

KIND_WORDS: tuple[tuple[str, str], ...] = (
    (r"(?:piston|wear|guide)[\s-](?:ring|band)s?|bands?", "band"),
    (r"o[\s-]?rings?|rings?", "oring"),
    (r"base[\s-]?plates?|plates?", "base_plate"),
    (r"seal[\s-]?heads?|heads?", "seal_head"),
    (r"bush(?:ing|e)?s?", "bush"),
    (r"shims?", "shim"),
    (r"nuts?", "nut"),
    (r"washers?", "washer"),
    (r"sleeves?", "sleeve"),
    (r"pistons?", "piston"),
)
LABEL_WORDS: tuple[tuple[str, str], ...] = (
    (r"across[\s-](?:the[\s-])?flats?|a/f|af|flats?|spanner|wrench|hex", "across_flats_mm"),
    (r"(?:outer|outside|out)(?:\sdia(?:m(?:eter)?)?)?|o\.?d\.?|body", "od_mm"),
    (r"(?:inner|inside|in(?=\sdia))(?:\sdia(?:m(?:eter)?)?)?|i\.?d\.?|shaft", "id_mm"),
    (r"bore|hole", "bore_mm"),
    (r"(?:cross[\s-])?section|cs|cord", "section_mm"),
    (r"thick(?:ness)?|thk", "thickness_mm"),
    (r"height|high|tall|length|long|width|wide", "height_mm"),
    (r"pitch", "pitch_mm"),
    (r"tpi|(?:threads?\s(?:per|an|to\sthe)\sinch)", "tpi"),
    (r"thread(?:ed)?", "thread_mm"),
)
TOOL_WORDS: tuple[tuple[str, str], ...] = (
    (r"micrometers?|micrometres?|mic", "micrometer"),
    (r"call?ipers?|verniers?", "caliper"),
    (r"rulers?|tape", "ruler"),
)
HAND_WORDS: tuple[tuple[str, str], ...] = (
    (r"left(?:[\s-]hand(?:ed)?)?|l\.?h\.?", "left"),
    (r"right(?:[\s-]hand(?:ed)?)?|r\.?h\.?", "right"),
)
# The rubber of an O-ring, by its short name or by what people call it.
COMPOUND_WORDS: tuple[tuple[str, str], ...] = (
    (r"hnbr", "HNBR"),
    (r"nbr|nitrile|buna(?:-n)?", "NBR"),
    (r"fkm|fpm|viton", "FKM"),
    (r"epdm", "EPDM"),
    (r"vmq|silicone", "VMQ"),
    (r"pu|polyurethane", "PU"),
)
# The outline of a shim; `ring` is one too, which stands behind the sizes.
FORM_WORDS: tuple[tuple[str, str], ...] = tuple((name, name) for name in ("round", "notched", "slotted", "polygon"))
ABOUT = r"about|around|approx(?:imately|\.)?|roughly|circa|ca\.?|nearly|near|~|≈"
# What says nothing.
NOISE = (
    r"mm|ø|⌀|dia(?:m(?:eter)?)?|a|an|the|of|or|across|is|it|has|size|sizes|measured?|measures|reads?|by|at|for|"
    r"rubber|metric|imperial|face|clamp|lock(?:ing)?|part|which|what|some|find"
)
