"""Counts the calls that a piece of work makes, which do not depend on how busy the machine is."""

import sys


class Steps:
    """``with Steps() as steps: ...`` and then ``steps.count``."""

    def __enter__(self):
        self.count = 0
        self.before = sys.getprofile()
        sys.setprofile(self._count)
        return self

    def _count(self, frame, event, arg):
        self.count += event in ("call", "c_call")

    def __exit__(self, *error):
        sys.setprofile(self.before)
