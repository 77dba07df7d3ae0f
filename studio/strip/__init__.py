"""The test strip: what stands on it, how it is printed, and how a photo of it is read."""
