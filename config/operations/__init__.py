"""For those who run the program: whether it lives, whether it is ready, and how much it does. Nothing of any project is told."""
