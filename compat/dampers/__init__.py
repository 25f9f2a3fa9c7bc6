"""What a damper model tells: its sizes for the engine, its requests, its mounts, the parts that may go on it."""
