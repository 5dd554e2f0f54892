"""Many homes: the single run, mapped."""
