"""The files: reading, checking and durable writing. Nothing else touches the disk."""
