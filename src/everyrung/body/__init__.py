"""The body: size to model, and what a pose asks of it. The only package that imports mujoco."""

import os

# Before numpy is loaded: small matrices are solved ten times slower when several threads share them.
for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")
