"""`python -m limbwright` is the `limbwright` command."""

from limbwright.interfaces.cli.main import app

if __name__ == "__main__":
    app(prog_name="limbwright")
