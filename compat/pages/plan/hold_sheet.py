"""The form under a plan: for which job its pieces are held, or for how long without one."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.common.errors import invalid
from inventory.counter.forms import CommandSheet, Line
from inventory.holds.services import lapse_minutes
from inventory.jobs.models import Job
from inventory.jobs.services import open_job

TYPED = ("job", "title")


class HoldSheet(CommandSheet):
    """For which job the pieces are held."""

    job = Line(label="For job", required=False, widget=forms.TextInput(attrs={"list": "jobs"}))
    title = Line(label="Title, if the job is new", most=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].help_text = f"Empty: held {self.for_a_while} only. A new job needs a title."

    def clean(self) -> dict[str, Any]:
        """Nothing typed is dropped in silence."""
        if self.cleaned_data.get("title") and self.cleaned_data.get("job") == "":
            self.add_error("job", "A title needs a job: type the number of the new job, or empty the title.")
        return dict(self.cleaned_data)

    @property
    def for_a_while(self) -> str:
        """How long the pieces are held without a job."""
        minutes = lapse_minutes(None)
        return f"for {minutes} minute{'' if minutes == 1 else 's'}"

    @property
    def held_for(self) -> str:
        """What the button says behind the pieces, as the form stands."""
        job = str(self["job"].value() or "").strip()
        return f"for {job}" if job else self.for_a_while

    def focus_usual(self, *, known: bool) -> bool:
        """Puts the focus where the hands go on: into the job, or the title of a new one; whether it is in a field.

        With a `known` job nothing is left to type.
        """
        if known:
            return False
        name = "title" if self["job"].value() and not self["title"].value() else "job"
        self.fields[name].widget.attrs["autofocus"] = True
        return True

    def opened_job(self) -> str | None:
        """The number of the job, opened if it is new; None without one. For use inside the transaction of the hold.

        Raises DomainError `invalid` for a new job without a title, and for a title that another job's number has.
        """
        job, title = self.cleaned_data["job"], self.cleaned_data["title"]
        if not job:
            return None
        found = Job.objects.filter(number=job).first()
        if found is None:
            if not title:
                raise invalid("title", f"there is no job {job} yet; give it a title to open it")
            open_job(number=job, title=title)
        elif title not in ("", found.title):
            said = (
                f"job {job} is there already, “{found.title}”: empty the title to hold for it, or type another number"
            )
            raise invalid("title", said)
        return str(job)
