import sys

from everyrung.cli import main

if __name__ == "__main__":
    sys.exit(main())
