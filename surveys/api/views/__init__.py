"""The interface's views, a module for each family. Each parses, asks access, calls, answers."""
