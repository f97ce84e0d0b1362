"""The body: size to model, and what a pose asks of it. The only package that imports mujoco."""
