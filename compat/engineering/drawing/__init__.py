"""Drawings of parts and stacks as coordinates: shapes with a kind, no markup and no words for people.

`shapes` says what a drawing is made of; `half_section` draws a valve on its shaft, `part_pictures` single parts to
scale, `measuring` what each size of a question means. One unit of a drawing is one unit of its view box; y runs down.
"""
