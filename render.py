"""Run Tracereel from a checkout: ``python render.py COMMAND …``."""

from overlays.cli import main

if __name__ == "__main__":
    main()
