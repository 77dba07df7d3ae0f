"""From print to wall: steps at the press, their timer, hanging heights, and the pages printed beside a sign."""
