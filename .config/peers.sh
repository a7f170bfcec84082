#!/usr/bin/env bash
# Checks against other people's programs. Installs those that are missing (Debian and its kin), then runs tests/peers.
set -eu
cd "$(dirname "$0")/.."
missing=""
for tool in tmux mbpoll sqlite3; do command -v "$tool" >/dev/null 2>&1 || missing="$missing $tool"; done
command -v cc >/dev/null 2>&1 || missing="$missing gcc libc6-dev"
[ -e /usr/include/modbus/modbus.h ] || missing="$missing libmodbus-dev"
if [ -n "$missing" ]; then
  root=""
  [ "$(id -u)" = 0 ] || root=sudo
  if ! command -v apt-get >/dev/null 2>&1; then
    echo "npm run test:peers needs:$missing (no apt-get here to install them with)" >&2
    exit 1
  fi
  $root apt-get update -qq
  # shellcheck disable=SC2086
  DEBIAN_FRONTEND=noninteractive $root apt-get install -y -qq --no-install-recommends $missing
fi
exec npx vitest run --config .config/vitest.peers.config.ts "$@"
