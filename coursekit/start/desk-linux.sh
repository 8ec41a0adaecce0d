#!/bin/sh
# Opens the instructor's desk in the browser. It needs the program uv once; see below.
here="$(cd "$(dirname "$0")/../.." && pwd)" || exit 1
cd "$here" || exit 1
PATH="$PATH:$HOME/.local/bin:$HOME/.cargo/bin"
export PATH
# what was installed before starts without the network, unless the kit asks for other libraries now
if [ -x .venv/bin/coursekit ] && [ .venv/bin/coursekit -nt pyproject.toml ]; then
  exec .venv/bin/coursekit desk "$@"
fi
if command -v uv >/dev/null 2>&1; then
  echo "Getting ready. The first start takes the network and a few minutes."
  uv sync || echo "Not everything could be fetched. See whether the network is there." >&2
fi
if [ -x .venv/bin/coursekit ]; then
  touch .venv/bin/coursekit
  exec .venv/bin/coursekit desk "$@"
fi
echo "The desk needs the program uv. Get it once as https://docs.astral.sh/uv says, then start again." >&2
exit 1
