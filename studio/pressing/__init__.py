"""From print to wall: press figures and steps, the step timer, approval text, hanging heights; no file is opened here."""
