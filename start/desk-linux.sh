#!/bin/sh
# Opens the instructor's desk in the browser. It needs the program uv once; see below.
here="$(cd "$(dirname "$0")/.." && pwd)" || exit 1
cd "$here" || exit 1
PATH="$PATH:$HOME/.local/bin:$HOME/.cargo/bin"
export PATH
if command -v uv >/dev/null 2>&1; then
  if [ ! -d .venv ]; then
    echo "Getting ready. The first start takes the network and a few minutes."
  fi
  exec uv run --frozen coursekit desk "$@"
fi
if [ -x .venv/bin/coursekit ]; then
  exec .venv/bin/coursekit desk "$@"
fi
echo "The desk needs the program uv. Get it once as https://docs.astral.sh/uv says, then start again." >&2
exit 1
