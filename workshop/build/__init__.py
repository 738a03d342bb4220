"""What a knife build is: route, step, blade, clock. No screen, no file, no asking the time."""
