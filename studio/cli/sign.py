"""A sign as ordered on the command line, with the faces and pictures to make it from."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from studio.cli.arguments import option_values
from studio.cli.diagnostics import say
from studio.cli.sheets import paper_wish, values_for_paper
from studio.model.options import merged_values
from studio.storage.assets import FileAssets
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.model.sign import Sign
    from studio.sheets.sign_on_paper import Wish


def ordered_sign(arguments: argparse.Namespace) -> tuple[Sign, FileAssets]:
    """Return the sign that the arguments ask for, over what environment and settings files say.

    Raises:
        StudioError: An option, a settings file or a file that they name is wrong.
    """
    sign, assets, _ = ordered_sign_on_paper(arguments)
    return sign, assets


def ordered_sign_on_paper(arguments: argparse.Namespace) -> tuple[Sign, FileAssets, Wish | None]:
    """Return the sign that the arguments ask for, with how sheets of it are wanted; `None` when they are not.

    Raises:
        StudioError: An option, a settings file or a file that they name is wrong.
    """
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    values = merged_values(shop.values, option_values(arguments))
    wish = paper_wish(arguments, shop.catalogue)
    values = values_for_paper(values, shop.catalogue, wish)
    return build_sign(arguments.text, values, shop.catalogue), FileAssets(shop.catalogue), wish
