"""Commands of pages: each form carries a one-use key, so that pressing twice, going back or sending again after a
broken connection does a thing once. The twin of the API's Idempotency-Key."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect

from inventory.common.errors import invalid
from inventory.counter.pages import actor_of, is_swap
from inventory.idempotency.services import Command, run_once

FIELD = "once"
LONGEST = 60
NOT_BODY = {FIELD, "csrfmiddlewaretoken"}


def new_key() -> str:
    """A key for one form."""
    return secrets.token_urlsafe(16)


def carry_out(request: HttpRequest, work: Callable[[], str], *, instead: bool = False) -> HttpResponse:
    """Runs `work` once for the form's key, in a transaction, and goes to the address that it returns (303).

    Sent again, the same form goes to the same address and does nothing. Raises what `work` raises, and DomainError
    `idempotency_key_reused` when the form was changed after it had been sent. A refusal is the form's answer too, so a
    form that is shown again needs a new key. `instead`: what the same form does once that is refused.
    """
    key = request.POST.get(FIELD, "")
    if not 1 <= len(key) <= LONGEST or not key.isascii():
        raise invalid(FIELD, "the form's key is missing; open the page anew and send it again")
    sent = sorted((name, values) for name, values in request.POST.lists() if name not in NOT_BODY)
    digest = hashlib.sha256(json.dumps(sent).encode()).hexdigest()
    command = Command(actor_of(request), "POST", request.path[:300], f"{key} instead" if instead else key, digest)
    return go(request, str(run_once(command=command, work=lambda: (303, work())).body))


def go(request: HttpRequest, address: str) -> HttpResponse:
    """To another page after a form: 303, so that the browser asks for it with GET."""
    if is_swap(request):
        return HttpResponse(status=204, headers={"HX-Redirect": address})
    response = HttpResponseRedirect(address)
    response.status_code = 303
    return response
