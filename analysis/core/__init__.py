"""The computation: plain functions on plain values.

No database, no web, no clock, no hidden state: the same input gives the same output to the last bit.
"""
