"""Everything that touches the disk: settings, fonts, artwork, files written whole."""
