"""What the answer says of the parts that were found: which reading separates them, and which are dangerous."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from compat.engineering.answers import Finding, ask, note, stop, warn
from compat.engineering.by_size.judging import Judged, Known
from compat.engineering.by_size.measures import BY_LABEL, MEASURES, Reading
from compat.engineering.by_size.telling import alike, has_ring, rings_of, telling
from compat.engineering.threads.designation import ThreadError
from compat.engineering.threads.pairing import LEAF_GAUGE
from compat.engineering.units import Range
from compat.questions.parts_by_size.texts import OF_KIND, WHAT
from compat.questions.parts_by_size.wanting import kinds_of, rings_named, ways_of
from inventory.common.sizes.wanted import Wanted

# What must be read before one part of a kind is named: all of these, of a ring any two. What was not read may be
# anything, and would rule the part out.
TO_READ: dict[str, tuple[str, ...]] = {
    "shim": ("od_mm", "thickness_mm", "id_mm"),
    "nut": ("across_flats_mm", "height_mm"),  # beside the thread, which has questions of its own
    "washer": ("od_mm", "id_mm", "height_mm"),
    "piston": ("od_mm", "id_mm", "height_mm"),
    "oring": ("id_mm", "section_mm", "od_mm"),
    "band": ("bore_mm", "height_mm", "thickness_mm"),
    "seal_head": ("id_mm", "od_mm", "height_mm"),
    "bush": ("id_mm", "od_mm", "height_mm"),
}
# Two lengths give the third.
GIVES = {
    "bush": ("thickness_mm", "id_mm", "od_mm"),
    "band": ("id_mm", "bore_mm", "thickness_mm"),
    "oring": ("id_mm", "section_mm", "od_mm"),
}
# By how much the end of a reading may lie outside the part's own size, mm: twice what the tool is off. Wider, and the
# reading is not close enough to name the part.
CLOSE_MM, CLOSE_THIN_MM, CLOSE_PITCH = 0.1, 0.02, 2 * LEAF_GAUGE
MOST_TOLD = 4  # pairs of parts that the findings speak of
MOST_RINGS = 3
THIN = ("thickness_mm", "section_mm")


@dataclass(frozen=True, slots=True)
class Shown:
    """The parts of an answer, best first: those that it may be, and those that it is not; and their numbers."""

    same: Sequence[Judged]
    near: Sequence[Judged]
    names: Mapping[int, str]
    differ: Sequence[str] = ()  # in what the parts of the first size differ beside their size

    def name(self, part: Known) -> str:
        return self.names[part.key]


def findings_of(wanted: Wanted, shown: Shown, *, cut: int | None) -> list[Finding]:
    """Every finding of an answer; a stop where nothing has the size, else questions where more than one size has it."""
    sizes = list({one.part.size: one for one in reversed(shown.same)}.values())[::-1]
    found = _none(wanted, shown) if not sizes else _some(wanted, shown, sizes)
    found += _near(wanted, shown)
    if _several_ways(shown.same):
        found.append(note("size_two_ways"))
    if cut is not None:
        found.append(note("size_cut", most=cut))
    return found


def mm(value: float, measure: str) -> str:
    """A number as the trade writes it: what is thin with two decimals at least."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return f"{value:.2f}" if measure in THIN and len(text.partition(".")[2]) < 2 else text


def size(kind: str, measure: str, size: Range) -> str:
    """A size of a part; the bore of a nut by its limits, since it has no other."""
    if (kind, measure) == ("nut", "id_mm"):
        return f"{mm(size.low, measure)} to {mm(size.high, measure)}"
    return mm(size.nominal, measure)


def what(kind: str, measure: str) -> str:
    """What a measure is called on a part of this kind."""
    return OF_KIND.get((kind, measure), WHAT[measure])


def _none(wanted: Wanted, shown: Shown) -> list[Finding]:
    if shown.near:
        found = [stop("size_only_near", part=shown.name(shown.near[0].part))]
    else:
        found = [stop("size_nothing")]
    if rings := _rings(wanted):
        found.append(note("size_as568_called", "as568", sizes=", ".join(rings[:MOST_RINGS])))
    return found


def _some(wanted: Wanted, shown: Shown, sizes: Sequence[Judged]) -> list[Finding]:
    best, *others = sizes
    found: list[Finding] = []
    if len(sizes) == 1:
        of_size = [shown.name(one.part) for one in shown.same if one.part.size == best.part.size]
        found.append(
            note("size_is", part=", ".join(of_size[:MOST_TOLD]) + (" ..." if len(of_size) > MOST_TOLD else ""))
        )
    for other in others[:MOST_TOLD]:
        found.append(_told(shown, best, other))
    if len(others) > MOST_TOLD:
        found.append(ask("size_more_match", count=len(others) - MOST_TOLD))
    found += [
        ask("size_not_on_file", what=what(best.part.kind, name), part=shown.name(best.part)) for name in best.unknown
    ]
    if shown.differ:
        count = sum(one.part.size == best.part.size for one in shown.same)
        found.append(warn("size_same_but", count=count, what=" and ".join(shown.differ)))
    found += _unread(best)
    if best.part.kind == "nut":
        hand_open = any(one.code == "size_hand_open" for one in found)
        found += [*_threads(wanted, shown, best), *([] if hand_open else _hand(wanted))]
    if best.part.kind == "oring":
        known = [one.part for one in shown.same if one.part.kind == "oring"]
        said = (wanted.compound, wanted.hardness)
        unsure = [one for one in known if one.size == best.part.size and _is_open(said, one.rubber)]
        found += [ask("size_rubber_unknown", part=shown.name(one), read=_rubber(wanted)) for one in unsure[:1]]
        if rings := [dash for dash in _rings(wanted) if not has_ring(known, dash)]:
            found.append(ask("size_as568_also", "as568", sizes=", ".join(rings[:MOST_RINGS])))
    return found


def _unread(best: Judged) -> list[Finding]:
    """What must be read before one part can be named: every size of it, and so closely that it is this one at either
    end of the reading. What is written on the part or its bag is no reading and needs none beside it."""
    kind, way = best.part.kind, best.way
    if all(one.error <= BY_LABEL for one in way.values()):
        return []
    read = set(way)
    if (given := GIVES.get(kind)) and len(read & set(given)) >= 2:
        read |= set(given)
    missing = [name for name in TO_READ.get(kind, ()) if name not in read and name in best.part.sizes]
    found: list[Finding] = []
    if missing:
        found.append(ask("size_one_reading", missing=" and ".join(what(kind, name) for name in missing)))
    rough = [name for name, one in way.items() if name in best.part.sizes and not _is_close(best.part, name, one)]
    return [*found, *(ask("size_read_closer", what=what(kind, name), error=way[name].error) for name in rough[:1])]


def _is_close(part: Known, measure: str, reading: Reading) -> bool:
    """Whether the part has the size at either end of the reading."""
    size = part.sizes[measure]
    room = CLOSE_PITCH * reading.mm if measure == "pitch_mm" else CLOSE_MM
    room = CLOSE_THIN_MM if (part.kind, measure) == ("shim", "thickness_mm") else room
    dust = 1e-6
    return (
        size.low - room - dust <= reading.mm - reading.error and reading.mm + reading.error <= size.high + room + dust
    )


def _hand(wanted: Wanted) -> list[Finding]:
    return [] if wanted.hand else [ask("size_hand_unsaid", "trade")]


def _told(shown: Shown, best: Judged, other: Judged) -> Finding:
    names = {"part": shown.name(best.part), "other": shown.name(other.part)}
    if best.part.thread == other.part.thread and best.part.hand != other.part.hand:
        left, right = (best, other) if best.part.hand == "left" else (other, best)
        return ask("size_hand_open", "trade", part=shown.name(left.part), other=shown.name(right.part))
    told = telling(best, other.part)
    if told is None:
        return ask("size_not_told", **names)
    one, two = (size(best.part.kind, told.measure, read) for read in (told.one, told.other))
    code = "size_measure_again" if told.again else "size_measure"
    return ask(code, **names, what=what(best.part.kind, told.measure), one=one, two=two, tool=told.tool)


def _threads(wanted: Wanted, shown: Shown, best: Judged) -> list[Finding]:
    if wanted.thread is not None or "pitch_mm" not in best.part.sizes:
        return []
    if "pitch_mm" not in best.way:
        return [ask("size_pitch_unread", "trade")]
    if "id_mm" not in best.part.sizes:
        return []
    try:
        others = alike(best.part.thread)
    except ThreadError:
        return []
    # Those of the catalogue are told apart above.
    listed = {one.part.thread for one in shown.same}
    others = [(thread, bore) for thread, bore in others if thread.name not in listed]
    if (read := best.way.get("id_mm")) is not None:
        seen = Range.around(read.mm, read.error)
        others = [(thread, bore) for thread, bore in others if bore.touches(seen)]
    if not others:
        return []
    bores = ", ".join(f"{thread.name} {size('nut', 'id_mm', bore)} mm" for thread, bore in others)
    data = {
        "part": shown.name(best.part),
        "thread": best.part.thread,
        "one": size("nut", "id_mm", best.part.sizes["id_mm"]),
    }
    names = " and ".join(thread.name for thread, _ in others)
    return [ask("size_threads_alike", "asme_b1_1", other=names, bores=bores, **data)]


def _rings(wanted: Wanted) -> list[str]:
    """The AS568 sizes that the readings may be, where it may be a ring."""
    if "oring" not in kinds_of(wanted):
        return []
    return list(rings_named(wanted)) or rings_of(ways_of("oring", wanted))


def miss_of(one: Judged, shown: Shown) -> str:
    """In what a near miss differs: a ring of another standard than the one that was found is said to be so."""
    ring = shown.same[0].part if shown.same else None
    if one.miss in ("ring", "bore", "diameter") and one.part.kind == "oring" and ring is not None:
        by_size = [part.dash.isdigit() for part in (one.part, ring)]
        return "standard" if by_size[0] != by_size[1] and ring.kind == "oring" else one.miss
    return one.miss


def standard(part: Known) -> str:
    """After which standard a ring is named."""
    return f"AS568-{part.dash}" if part.dash.isdigit() else "a metric or special ring"


def _near(wanted: Wanted, shown: Shown) -> list[Finding]:
    """One warning for each thing in which a near miss differs: of the nearest part that does."""
    found: dict[str, Finding] = {}
    for one in shown.near:
        miss = miss_of(one, shown)
        if miss in found:
            continue
        data: dict[str, object] = {"part": shown.name(one.part), "thread": one.part.thread}
        if miss == "standard":
            ring = shown.same[0].part
            data |= {"has": standard(one.part), "other": shown.name(ring), "as_other": standard(ring)}
        elif miss == "compound":
            data |= {"has": " ".join(filter(None, one.part.rubber)), "read": _rubber(wanted)}
        elif one.outside:
            measure = one.outside[0]
            data |= {
                "has": size(one.part.kind, measure, one.part.sizes[measure]),
                "read": mm(one.way[measure].mm, measure),
            }
        source = {"standard": "as568"}.get(miss, "trade")
        found[miss] = warn(f"near_{miss}", source, **{name: value for name, value in data.items() if value})
    return list(found.values())


def _is_open(said: Sequence[str], rubber: Sequence[str]) -> bool:
    return any(one and not known for one, known in zip(said, rubber, strict=False))


def _rubber(wanted: Wanted) -> str:
    return " ".join(filter(None, (wanted.compound, wanted.hardness)))


def _several_ways(same: Sequence[Judged]) -> bool:
    """Whether parts of one kind were found by different meanings of the same numbers."""
    meanings: dict[str, set[tuple[str, ...]]] = {}
    for one in same:
        meanings.setdefault(one.part.kind, set()).add(tuple(sorted(one.way, key=MEASURES.index)))
    return any(len(several) > 1 for several in meanings.values())
