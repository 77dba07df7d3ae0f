"""What a sign is made of: blank, surface, artwork, letterings, options, findings."""
