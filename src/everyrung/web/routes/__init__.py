"""The addresses of the studio, a module a screen."""
