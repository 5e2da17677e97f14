"""The rest of the bag: driver, woods, ball and putter."""
