"""Settings shared by all tests."""

from hypothesis import settings

# Examples are judged by what they show, not by how long a busy machine takes over them; the
# first of them may also have to wait for the compiler.
settings.register_profile("tankful", deadline=None)
settings.load_profile("tankful")
