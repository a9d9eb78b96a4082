"""Reference data: figures of published handbooks and standards, each with its source."""
