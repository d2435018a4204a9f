"""What happens to jobs when things go wrong, tried with real processes: workers that are killed, disks that are full, poison."""
