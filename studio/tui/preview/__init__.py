"""The sign's picture and its findings on the screen."""
