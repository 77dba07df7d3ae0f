"""Handlers of messages are found by their names alone, so that a message renamed without them would go unheard."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator

from textual import events, widgets
from textual.message import Message

import studio.tui


def _classes() -> Iterator[type]:
    for found in pkgutil.walk_packages(studio.tui.__path__, "studio.tui."):
        module = importlib.import_module(found.name)
        yield from (held for _, held in inspect.getmembers(module, inspect.isclass) if held.__module__ == found.name)


def _names(message: type[Message]) -> Iterator[str]:
    yield getattr(message, "handler_name", "")
    for one in message.__subclasses__():
        yield from _names(one)


def test_every_handler_has_its_message() -> None:
    """Each `on_…` of the studio's classes is the name of a message or an event that there is."""
    classes = list(_classes())
    assert events.Key.handler_name == "on_key" and hasattr(widgets.Input, "Changed")
    known = {*_names(Message), "on_event", "on_mount"}
    handlers = {
        (f"{held.__module__}.{held.__name__}", name)
        for held in classes
        for name in vars(held)
        if name.startswith("on_") and inspect.isfunction(vars(held)[name])
    }
    assert len(handlers) > 40
    assert {(where, name) for where, name in handlers if name not in known} == set()
