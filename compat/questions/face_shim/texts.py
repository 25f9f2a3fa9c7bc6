"""Texts of the face-shim question. Inside a stack answer the data also name the side."""

from __future__ import annotations

TEXTS: dict[str, str] = {
    "ports_covered": "The face shim covers its ports wherever it lies within its play, and reaches no further.",
    "ports_open_outside": (
        "Ports stay open at the outer rim: even at best the shim's rim stays {short_mm:g} mm short of their outer "
        "edge, and it must reach {needed_mm:g} mm past it. Is the piston the right way round?"
    ),
    "outer_cover_small": (
        "The shim covers the ports' outer edge by at most {max_mm:g} mm where {needed_mm:g} mm is needed. Is the "
        "piston the right way round?"
    ),
    "outer_cover_doubtful": (
        "The shim covers the ports' outer edge by {min_mm:g} to {max_mm:g} mm (below zero: it stays short of it) where "
        "{needed_mm:g} mm is needed: measure the shim's outer diameter, its play on "
        "the shaft and the ports' outer diameter more closely."
    ),
    "ports_open_inside": (
        "Ports stay open at the inner rim: even at best the edge of the shim's bore lies {short_mm:g} mm past their "
        "inner edge, and it must stay {needed_mm:g} mm inside it."
    ),
    "inner_cover_small": (
        "The shim covers the ports' inner edge by at most {max_mm:g} mm where {needed_mm:g} mm is needed."
    ),
    "inner_cover_doubtful": (
        "The shim covers the ports' inner edge by {min_mm:g} to {max_mm:g} mm (below zero: it stays short of it) where "
        "{needed_mm:g} mm is needed: measure the shim's bore, the shaft and the ports' inner diameter more closely."
    ),
    "hub_misses_shim": (
        "The hub is too small to carry the shim all round: even at best it ends {short_mm:g} mm inside the edge of the "
        "shim's bore."
    ),
    "hub_seat_doubtful": (
        "The hub carries the shim on {min_mm:g} to {max_mm:g} mm: measure the hub, the shim's bore and the shaft."
    ),
    "face_shim_bore_small": (
        "The shim's bore is smaller than the shaft: even at best it lacks {short_mm:g} mm all round."
    ),
    "face_shim_bore_close": (
        "The shim's bore may be smaller than the shaft ({min_mm:g} to {max_mm:g} mm of radial play): measure both."
    ),
    "face_shim_past_land": (
        "The shim reaches past the land: even at best its rim lies {short_mm:g} mm past the land's edge."
    ),
    "face_shim_near_land_edge": (
        "The shim may reach past the land ({min_mm:g} to {max_mm:g} mm are left from its rim to the land's edge; below "
        "zero it reaches past it): measure the "
        "shim's outer diameter and the land's."
    ),
    "face_shim_plays_past_land": "Within its play the shim can overhang the land by {by_mm:g} mm; keep it centred.",
    "face_shim_touches_body": (
        "The shim can touch the body: even at best its play brings its rim to the bore and {short_mm:g} mm past it."
    ),
    "body_clearance_doubtful": (
        "The shim's rim clears the body by {min_mm:g} to {max_mm:g} mm: measure the body's bore, the shim and its play."
    ),
    "face_shim_blocks_feed": (
        "The shim reaches over the other side's feed: even at best its play brings its rim {short_mm:g} mm over it."
    ),
    "feed_clearance_doubtful": (
        "The shim's rim stays {min_mm:g} to {max_mm:g} mm clear of the other side's feed: measure the feed's inner "
        "diameter, the shim and its play."
    ),
    "ports_inner_over_outer": (
        "The ports' inner diameter reads, or may be, larger than their outer one: measure both again."
    ),
    "ports_over_land": "The ports' outer diameter reads, or may be, larger than the land's: measure both again.",
    "hub_over_ports": "The hub reads, or may be, larger than the ports' inner diameter: measure both again.",
    "face_shim_od_unknown": "Measure the face shim's outer diameter.",
    "face_shim_bore_unknown": "Measure the face shim's bore.",
    "face_shaft_unknown": "Measure the shaft (or bolt, or sleeve) where the shim sits.",
    "face_hub_unknown": "Measure the diameter of the piston's hub, the seat that carries the shim's centre.",
    "face_ports_inner_unknown": "Measure the diameter on which the ports' inner edges lie.",
    "face_ports_outer_unknown": "Measure the diameter on which the ports' outer edges lie.",
    "face_land_outer_unknown": "Measure the outer diameter of the land round the ports.",
    "face_body_bore_unknown": "Measure the body's bore.",
    "face_other_side_feed_inner_unknown": (
        "Measure the diameter at which the other side's feed openings begin on this face."
    ),
    "face_overlap_unknown": "Enter the overlap that the shop requires past the ports' edges; there is no default.",
}

METHODS: dict[str, str] = {
    "face-shim": (
        "Radial distances between shim, ports, hub, land, feed and body at every corner of the readings, with the "
        "shim at the bad end of its play on the shaft."
    ),
}
