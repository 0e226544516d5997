"""`python -m handsfree`: the command line."""

from handsfree.cli.app import main

if __name__ == "__main__":
    main()
