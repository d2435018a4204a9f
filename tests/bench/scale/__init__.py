"""The parts of `tests.bench.bench_scale`: invented data by the million, the lists beside bare answers, the load of many clients."""
