"""The bench record: what students measured, how it is taken in and kept, and what it says."""
