"""Settings shared by all tests."""

from hypothesis import settings

# Examples are judged by what they show, not by how long a busy machine takes over them; the
# first of them may also have to wait for the compiler. They are the same everywhere, so that what
# passes here passes there; `pytest --hypothesis-profile=search` tries others.
settings.register_profile("tankful", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("tankful")
