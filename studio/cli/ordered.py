"""A sign as ordered on the command line, with the bench to make it on."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from studio.cli.arguments import option_values
from studio.cli.diagnostics import say
from studio.files.bench import ShopBench
from studio.files.options import merged_values
from studio.files.shop import open_shop
from studio.files.sign_builder import build_sign

if TYPE_CHECKING:
    from studio.sign import Sign


def ordered_sign(arguments: argparse.Namespace) -> tuple[Sign, ShopBench]:
    """Return the sign that the arguments ask for, over what environment and settings files say.

    Raises:
        StudioError: An option, a settings file or a file that they name is wrong.
    """
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    values = merged_values(shop.values, option_values(arguments))
    return build_sign(arguments.text, values, shop.catalogue), ShopBench(shop.catalogue)
