#!/usr/bin/env bash
# Takes pictures of the running demo: those that README shows, or, with --all,
# every page in every size and colour and on paper, for people to look at.
#
#     bash tests/tools/screens.sh [--all] FOLDER
#
# Needs Chromium, chromedriver and pdftoppm (tests/run.sh installs them).
# Stops by itself, after ten minutes at the latest.
set -euo pipefail
cd "$(dirname "$0")/../.."

cargo build --locked --release
exec timeout 600 python3 -B tests/tools/screens.py "${CARGO_TARGET_DIR:-target}/release/headwright" "$@"
