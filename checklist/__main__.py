"""Run the command line as ``python -m checklist``."""

from checklist.cli import main

if __name__ == "__main__":
    main(prog_name="checklist")
