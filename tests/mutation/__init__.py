"""Whether the tests notice: one change at a time to the product, and the tests that run it.

`python -m tests.mutation` takes a sample of all changes, by seed. It stands outside CI.
"""
