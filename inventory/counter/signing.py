"""Signing in, changing the person on a shared computer, locking it, and one's own PIN."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast
from urllib.parse import urlencode

from django import forms
from django.contrib import auth, messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from inventory.common.errors import DomainError
from inventory.common.transactions import use_case
from inventory.counter import session
from inventory.counter.commands import go
from inventory.counter.forms import Line, Sheet
from inventory.counter.pages import into_lock, is_swap, lock_fragment, page
from inventory.people import passwords, pins
from inventory.people.models import Person
from inventory.people.roles import STAFF

WRONG = "The name or the password is not right. Capital letters count in both."
WRONG_PIN = "That is not the PIN of this person. After five wrong ones in a row the PIN is switched off."
NO_PERSON = "Choose your name, then type your PIN."
PIN_OFF = (
    "The PIN of {name} is switched off, since five wrong ones were typed in a row; the right one does not open it "
    "either. Sign in with the password: then the PIN works again."
)


COMMON_PIN = (
    "This PIN is right, but it is one that is tried first: a year, digits repeated or digits in a row. Choose another "
    "to go on: type the old one once more, and a new one of 4 to 8 digits. Nothing else is needed."
)


@dataclass(frozen=True, slots=True)
class Door:
    """What a PIN came to: open; or why not, and whether the person has to choose another PIN first."""

    is_open: bool = False
    error: str = ""
    another: bool = False

    @property
    def known(self) -> dict[str, Any]:
        """What the fields of counter/_who.html show of it."""
        return {"error": self.error, "another": self.another}


class SignIn(Sheet):
    """Name and password."""

    username = Line(label="Name", most=150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )
    shared = forms.BooleanField(
        label="This computer is shared at the bench",
        help_text="People then change by PIN, and it locks itself when nobody uses it.",
        required=False,
    )


class Pin(Sheet):
    """One's own PIN, allowed by the password."""

    pin = forms.CharField(
        label="New PIN", widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    )
    password = forms.CharField(
        label="Your password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


@never_cache
@require_http_methods(["GET", "POST", "HEAD"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """The page for a password; above a page that is open it is a fragment, and that page goes on afterwards."""
    form = SignIn(request.POST or None)
    if request.method == "POST" and _by_password(request, form):
        if not is_swap(request):
            return go(request, _next(request))
        if request.POST.get("page_person") != str(request.user.pk):
            return go(request, reverse("start"))
        return _goes_on(request)
    form.focus()
    known = {"form": form, "next": _next(request), "signed_out": True}
    if is_swap(request):
        return lock_fragment(request, known)
    return render(request, "counter/sign_in.html", known, status=422 if form.errors else 200)


@never_cache
@require_http_methods(["GET", "POST", "HEAD"])
def switch(request: HttpRequest) -> HttpResponse:
    """Who is there now? By PIN, on a shared computer that a password has opened."""
    if not request.user.is_authenticated or not session.is_shared(request):
        return go(request, reverse("sign-in"))
    people = pins.people_with_pin()
    door = Door()
    if request.method == "POST":
        before = request.user.pk
        door = _by_pin(request, people)
        if door.is_open:
            if not is_swap(request):
                return go(request, _next(request) if request.user.pk == before else reverse("start"))
            return _goes_on(request) if request.user.pk == before else go(request, reverse("start"))
    known = {"people": people, **door.known, "next": _next(request), "chosen": request.POST.get("person", "")}
    if is_swap(request):
        return lock_fragment(request, known)
    return render(request, "counter/switch.html", known, status=422 if door.error else 200)


@never_cache
@require_POST
def open_and_send(request: HttpRequest) -> HttpResponse:
    """The PIN or the password for something that was sent meanwhile: shows it once more, to be sent on purpose."""
    back = request.POST.get("back", "/")
    if not _is_here(back):
        return go(request, reverse("start"))
    kept = [(name, value) for name, values in request.POST.lists() if name.startswith("kept-") for value in values]
    known: dict[str, Any] = {"kept": [(name.removeprefix("kept-"), value) for name, value in kept], "back": back}
    if session.actor(request) is not None:
        # Opened meanwhile, in another window.
        return render(request, "counter/send_again.html", known)
    if request.user.is_authenticated:
        people = pins.people_with_pin()
        door = _by_pin(request, people)
        if door.is_open:
            return render(request, "counter/send_again.html", known)
        known |= {"people": people, **door.known, "chosen": request.POST.get("person", "")}
        return render(request, "counter/locked.html", known, status=422)
    form = SignIn(request.POST)
    if _by_password(request, form):
        return render(request, "counter/send_again.html", known)
    form.focus()
    return render(request, "counter/locked.html", {**known, "form": form, "signed_out": True}, status=422)


@page()
def still_here(request: HttpRequest) -> HttpResponse:
    """Asked by a page that the browser brings back: nothing while it is still its reader's, else the reader's start."""
    if request.GET.get("person") == str(request.user.pk):
        return HttpResponse(status=204)
    return go(request, reverse("start"))


@require_POST
def lock(request: HttpRequest) -> HttpResponse:
    """Locks a shared computer at once; whoever goes on with the same name is where they were."""
    if request.user.is_authenticated and session.is_shared(request):
        session.lock(request)
        if is_swap(request):
            return lock_fragment(request, {"people": pins.people_with_pin(), "changing": True})
        return go(request, f"{reverse('switch')}?{urlencode({'next': _next(request)})}")
    return go(request, reverse("start"))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Ends the session."""
    auth.logout(request)
    return go(request, reverse("sign-in"))


@page(see=STAFF, send=STAFF)
def own_pin(request: HttpRequest) -> HttpResponse:
    """One's own PIN."""
    person = cast(Person, request.user)
    form = Pin(request.POST or None)
    if request.method == "POST" and form.is_valid():
        tried = passwords.check(person.username, form.cleaned_data["password"])
        if tried.person != person:
            form.add_error("password", tried.wait_text or "This is not your password.")
        else:
            try:
                use_case(lambda: pins.set_pin(person=person, pin=form.cleaned_data["pin"]))
                messages.success(request, "Your PIN is set.")
                return go(request, reverse("start"))
            except DomainError as error:
                form.refuse(error)
    form.focus()
    return render(request, "counter/own_pin.html", {"form": form}, status=422 if form.errors else 200)


def _by_password(request: HttpRequest, form: SignIn) -> bool:
    """Opens the session where name and password are right; says in the form what is wrong."""
    if not form.is_valid():
        return False
    found = form.cleaned_data
    tried = passwords.check(found["username"], found["password"])
    if tried.person is None:
        form.add_error(None, tried.wait_text or WRONG)
        return False
    session.sign_in(request, tried.person, shared=found["shared"])
    return True


def _by_pin(request: HttpRequest, people: list[Person]) -> Door:
    """Opens a shared computer where the PIN is that of the person chosen.

    One that is tried first, set before such were refused, opens nothing more: its person chooses another with it, here
    and now. That takes no password, or it would lock out who has forgotten theirs.
    """
    person, pin = _chosen(request, people), request.POST.get("pin", "")
    if person is None or not session.pin_opens(request, person, pin):
        return Door(error=_why_not(person))
    if pins.is_common(pin):
        chosen = request.POST.get("new_pin", "")
        if not chosen:
            return Door(error=COMMON_PIN, another=True)
        try:
            use_case(lambda: pins.set_pin(person=person, pin=chosen))
        except DomainError as error:
            return Door(error=f"The new PIN {error.errors[0].message}.", another=True)
        messages.success(request, "Your new PIN is set.")
    session.switch(request, person)
    return Door(is_open=True)


def _chosen(request: HttpRequest, people: list[Person]) -> Person | None:
    return next((one for one in people if str(one.pk) == request.POST.get("person")), None)


def _why_not(person: Person | None) -> str:
    """Why a PIN opened nothing, and what to do."""
    if person is None:
        return NO_PERSON
    return PIN_OFF.format(name=person.first_name or person.username) if session.pin_is_off(person) else WRONG_PIN


def _goes_on(request: HttpRequest) -> HttpResponse:
    """The page under the lock goes on, with the token that its forms need from now on."""
    return into_lock(render(request, "counter/_goes_on.html"))


def _next(request: HttpRequest) -> str:
    """Where to go after signing in: a page of this server, else the start page."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    return wanted if _is_here(wanted) else reverse("start")


def _is_here(address: str) -> bool:
    """Whether an address leads to a page of this server."""
    return url_has_allowed_host_and_scheme(address, allowed_hosts=None) and address.startswith("/")
