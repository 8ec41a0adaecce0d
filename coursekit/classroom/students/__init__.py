"""One student: renamed, exported, erased."""
