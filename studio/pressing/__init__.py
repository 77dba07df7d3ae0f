"""From print to wall: press figures and steps, the step timer, hanging heights, what the customer approves."""
