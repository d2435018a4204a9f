"""What jobs do: load what a computation reads, call the kernel or the workbook, store or keep what comes of it.

Each function takes the person for whom it works, so that a job may do what that person may do and no more. The Celery task and the
management commands call the same functions. `table` says which kind of job is done by which; it is imported by who does them only, as it
brings the libraries for workbooks along.
"""
