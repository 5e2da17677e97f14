"""Counts the calls that a piece of work makes, which do not depend on how busy the machine is."""

import sys


class Steps:
    """``with Steps() as steps: ...`` and then ``steps.count``."""

    count = 0

    def __enter__(self):
        self.before = sys.getprofile()

        def step(frame, event, arg):  # of a function and of its return: two a call
            self.count += 0.5

        sys.setprofile(step)
        return self

    def __exit__(self, *error):
        sys.setprofile(self.before)
