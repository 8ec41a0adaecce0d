"""The bench record: what students measured, kept, taken in, and what it says together."""
