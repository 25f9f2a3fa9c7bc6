"""Addresses of the counter's pages. Numbers and codes are what people chose, so they may hold a slash."""

from django.urls import path

from inventory.counter import signing, start
from inventory.counter.browsing import drawers, finding, lots, shelf
from inventory.counter.taking_in import deliveries, opening

urlpatterns = [
    path("", start.start, name="start"),
    path("sign-in", signing.sign_in, name="sign-in"),
    path("sign-out", signing.sign_out, name="sign-out"),
    path("switch", signing.switch, name="switch"),
    path("switch/send", signing.open_and_send, name="open-and-send"),
    path("lock", signing.lock, name="lock"),
    path("still-here", signing.still_here, name="still-here"),
    path("my-pin", signing.own_pin, name="own-pin"),
    path("find", finding.find, name="find"),
    path("shelf", shelf.shelf, name="shelf"),
    path("drawers/<path:code>", drawers.drawer, name="drawer"),
    path("lots/<path:number>", lots.lot, name="lot"),
    path("take-in", deliveries.take_in, name="take-in"),
    path("take-in/opening", opening.opening, name="opening"),
    path("deliveries/<int:delivery>", deliveries.delivery, name="delivery"),
    path("deliveries/<int:delivery>/undo", deliveries.undo, name="undo-line"),
]
