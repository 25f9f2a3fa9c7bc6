"""Why something may be left out of a request, where several questions have the same reason."""

from __future__ import annotations

LINES = "a choice: a stack without one of its lines is another stack, which is judged as it stands"
SPOTS = "alternative: the readings that are left must still cover every direction and the whole length by themselves"
LABEL = "alternative: the readings themselves; a label can only contradict them, and without it the widest class counts"
PART = "alternative: the readings themselves; what the catalogue says of a part can only contradict them"
THREAD = "alternative: how the nut locks says that it has no collar; a nut with one must tell it"
CLASS = "alternative: the size was read; a class and its nominal size can only contradict it"
OD = "alternative: the diameter over the band and the section under it are two ways to know one thing"
STEEL = "alternative: the whole range of spring strip stands in; what is told outside it is asked about"
STRIP = "alternative: the tolerance of the strip stands in for the readings of a lot"
KIND = "a choice: what is built, not a reading of it; round without one"
TOOL = "a choice: how exact the tool is; without it the usual error counts"
