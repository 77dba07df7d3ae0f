"""What can go wrong, as one family of errors that carry a sentence and a way out.

Nothing here knows exit codes or streams: the front ends map the classes to their own codes.
"""

from __future__ import annotations

from typing import Self


class StudioError(Exception):
    """A mistake in what was asked for or found, told in words a maker can act on.

    No sentence names an option as a front end spells it: each front end does that, from the fields.

    Attributes:
        message: What is wrong, where, and by how much.
        advice: What to do about it; may be empty.
        option: The key of the option that it is about, underscores for hyphens; empty for none.
        ways: The keys of the options by which the advice can be followed.
    """

    def __init__(self, message: str, *, advice: str = "", option: str = "", ways: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice
        self.option = option
        self.ways = ways

    def about(self, option: str) -> Self:
        """Return the same problem, told of another option."""
        return type(self)(self.message, advice=self.advice, option=option, ways=self.ways)

    def __str__(self) -> str:
        return f"{self.message} {self.advice}".rstrip()

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuilt, (type(self), self.message, self.advice, self.option, self.ways))


def _rebuilt(kind: type[StudioError], message: str, advice: str, option: str, ways: tuple[str, ...]) -> StudioError:
    """Make the error again on the far side of a process boundary."""
    return kind(message, advice=advice, option=option, ways=ways)


class SettingsError(StudioError):
    """An option, a settings file or a name is wrong or unknown."""


class UnknownNameError(SettingsError):
    """Nothing of that name is known: no blank, surface, artwork or face."""


class OrderError(StudioError):
    """An order list is missing or cannot be read."""


class PictureError(StudioError):
    """An artwork file is missing, broken, too large or of a kind that cannot be read."""


class FontError(StudioError):
    """A font file is missing, damaged or cannot be used."""


class OutputError(StudioError):
    """A file cannot be written, or one of that name is there already."""


class RunExistsError(OutputError):
    """The folder holds a run already, and nothing was said about what should become of it."""


class VerificationError(StudioError):
    """A file was written but did not read back as ordered; it was removed."""
