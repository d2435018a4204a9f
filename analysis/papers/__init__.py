"""Papers that leave the building: chapters, labels and sampling plans, as files. Plain functions on plain values; no clock."""
